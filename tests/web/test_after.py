"""What is due after a spray and after a freeze, and that the times of the label are the user's."""

from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest

from farm.records import Spray
from farm.retraction import Retraction
from web.after_rows import sprayed_rows


def _row(text: str, name: str) -> str:
    """The part of the page that tells of one sprayed field."""
    return next(part for part in text.split("<li")[1:] if f">{name}</a>" in part)


def _spray(field_id: str, at: datetime, mix: str = "aid-12") -> Spray:
    return Spray(uuid=uuid4(), field_id=field_id, sprayed_utc=at, treatment_id=mix)


def test_sprayed_fields_of_the_demo_are_listed_with_what_is_due(client_as):
    text = client_as("dispatcher").get("/after").text
    # The demo sprays Owl Barn Sun 27 Sep, Sunflower Wed 30 Sep and Bell Mare Wed 23 Sep; leaf drop
    # is looked at 7 and 14 days on, and the morning is Tue 6 Oct.
    assert "first Wed 7 Oct, second Wed 14 Oct" in _row(text, "Sunflower")
    assert "check leaf drop tomorrow" in _row(text, "Sunflower")
    assert "first Sun 4 Oct, second Sun 11 Oct" in _row(text, "Owl Barn")
    assert "check leaf drop tomorrow" in _row(text, "Bell Mare")


def test_a_check_is_due_on_its_day_even_from_an_older_morning(client_as, clock):
    clock.passes(timedelta(days=1))
    text = client_as("consultant").get("/after").text
    assert text.index("Sunflower") < text.index("Owl Barn")
    assert "check leaf drop today" in _row(text, "Sunflower")
    assert text.count('class="due"') == 2
    assert "The newest morning is of Tue 6 Oct" in text


def test_times_of_the_label_count_from_the_spray(client_as, farm, clock):
    # The demo enters 48 h and 7 days for its mix 12; sprayed 5:30 am local, 10:30 am UTC.
    farm.stores.sprays.add(_spray("windmill", datetime(2026, 10, 6, 10, 30, tzinfo=UTC)), clock())
    row = _row(client_as("dispatcher").get("/after").text, "Windmill Quarter")
    assert "not before Thu 8 Oct, 5:30 am" in row
    assert "not before Tue 13 Oct, 5:30 am" in row
    clock.passes(timedelta(hours=48))
    row = _row(client_as("dispatcher").get("/after").text, "Windmill Quarter")
    assert "over since Thu 8 Oct, 5:30 am" in row


def test_a_begun_minute_is_counted_whole(client_as, farm, clock):
    at = datetime(2026, 10, 6, 10, 30, 1, tzinfo=UTC)
    farm.stores.sprays.add(_spray("windmill", at), clock())
    row = _row(client_as("dispatcher").get("/after").text, "Windmill Quarter")
    assert "not before Thu 8 Oct, 5:31 am" in row


def test_times_that_were_not_entered_are_not_invented(client_as, farm, clock):
    at = datetime(2026, 10, 6, 10, 30, tzinfo=UTC)
    farm.stores.sprays.add(_spray("windmill", at, mix="a-mix-of-before"), clock())
    row = _row(client_as("dispatcher").get("/after").text, "Windmill Quarter")
    assert row.count("not entered; read the label") == 2


def test_a_spray_since_the_morning_is_followed_at_once(client_as, farm, clock):
    before = client_as("operator").get("/after").text
    assert "Windmill Quarter" not in before
    farm.stores.sprays.add(_spray("windmill", clock() - timedelta(hours=1)), clock())
    assert "check leaf drop Tue 13 Oct" in _row(
        client_as("operator").get("/after").text, "Windmill Quarter"
    )


def test_a_spray_taken_back_is_followed_no_more_and_said(client_as, farm, clock):
    spray = next(one for one in farm.stores.sprays.all() if one.treatment_id == "aid-24")
    told = Retraction(
        uuid=uuid4(),
        of_uuid=spray.uuid,
        kind="spray",
        field_id=spray.field_id,
        retracted_utc=clock(),
    )
    farm.stores.retractions.add(told, clock())
    text = client_as("operator").get("/after").text
    assert "so not sprayed: Sunflower" in text
    assert ">Sunflower</a>" not in text


def test_low_leaf_drop_a_week_on_asks_for_a_second_pass(desk, clock):
    report = desk.mornings.latest()
    one = next(each for each in report.fields if each.follow_up is not None)
    told = one.follow_up.model_copy(
        update={"second_pass": True, "second_pass_words": "60 % leaf drop, consider it."}
    )
    fields = tuple(
        each.model_copy(update={"follow_up": told}) if each is one else each
        for each in report.fields
    )
    rows = sprayed_rows(report.model_copy(update={"fields": fields}), desk, clock())
    assert [row.second_pass for row in rows].count(True) == 1
    assert "60 % leaf drop, consider it." in next(row for row in rows if row.second_pass).lines


def test_a_grower_sees_their_fields_and_not_the_harvest_of_all(client_as, desk):
    report = desk.mornings.latest()
    sprayed = [one for one in report.fields if one.follow_up is not None]
    growers = {one.field.grower_id for one in sprayed}
    assert growers
    for grower_id in growers:
        text = client_as("grower", (grower_id,)).get("/after").text
        for one in sprayed:
            assert (one.field.name in text) == (one.field.grower_id == grower_id)
        assert "not picked; at" not in text


@pytest.mark.parametrize("role", ["dispatcher", "scout", "operator"])
def test_everybody_else_sees_whether_the_harvest_has_room(client_as, role):
    # Of the demo's three sprayed fields together; its harvest picks 110 acres a day.
    told = "Harvest: 322 ac sprayed and not picked; at 110 ac a day"
    assert told in client_as(role).get("/after").text
