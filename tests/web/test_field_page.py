"""The page of one field, as people of each role see it."""

import re
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from uuid import uuid4

import pytest

from dispatch.alert_figures import FreezeAlertFigures
from farm.records import Freeze, Spray, Visit
from storage.newest_rows import RECORDS, newest_rows


def _spray(farm, field_id="windmill", **told):
    moment = farm.now + timedelta(minutes=30)
    spray = Spray(
        uuid=uuid4(), field_id=field_id, sprayed_utc=moment, treatment_id="aid-12", **told
    )
    farm.stores.sprays.add(spray, moment)
    return spray


def _text(answer) -> str:
    """What is read of a page: without tags, on one line."""
    return " ".join(re.sub(r"<[^>]+>", " ", answer.text).split())


def test_the_page_says_what_to_do_when_and_why(client_as):
    """The figures are those of docs/demo-digest.txt for the field."""
    said = _text(client_as("consultant").get("/fields/windmill"))
    for words in (
        "156 ac, 3 rig-h, Hallock &amp; Daughters, Example mix 12",
        "SPRAY, number 2",
        "today 10 am-4 pm",
        "spray by Tue 3 pm (then freeze)",
        "Effect 82 now, 47 from the back of the line",
    ):
        assert words in said


def test_the_multiplication_comes_out_in_its_own_boxes(client_as):
    """82.4 = 100 x 0.84 x 0.98 x 1.00; 82.4 - 46.9 = 35.5; 35.5 x 156 / 3.01 = 1841."""
    text = client_as("dispatcher").get("/fields/windmill").text
    chains = [re.findall(r'class="box"><b>([\d.]+)</b>', one) for one in text.split("<ol ")[1:]]
    assert chains == [
        ["100", "0.84", "0.98", "1.00", "82.4"],
        ["82.4", "46.9", "35.5"],
        ["35.5", "156", "3.01", "1841"],
    ]


def test_the_fields_beside_it_are_told_but_never_to_growers(client_as):
    """Third in the order of the demo is another grower's."""
    assert 'href="/fields/south-pivot"' in client_as("scout").get("/fields/windmill").text
    text = client_as("grower", ("hallock",)).get("/fields/windmill").text
    assert "Windmill Quarter" in text
    assert not re.search('south-pivot|South Pivot|class="beside"|rig-hours of fields', text)


@pytest.mark.parametrize("field_id", ["south-pivot", "nowhere", "dugout/x", "..%2fwindmill"])
def test_another_growers_field_is_not_found_just_as_one_that_is_not_there(client_as, field_id):
    answer = client_as("grower", ("hallock",)).get(f"/fields/{field_id}")
    nowhere = client_as("grower", ("hallock",)).get("/fields/nothing-of-that-name")
    assert answer.status_code == nowhere.status_code == 404
    assert _text(answer) == _text(nowhere)


def test_a_field_sold_since_the_morning_is_its_old_growers_no_more(app, client_as):
    desk = app.state.desk
    sold = desk.farm.fields["windmill"].model_copy(update={"grower_id": "quillen"})
    fields = {**desk.farm.fields, "windmill": sold}
    app.state.desk = replace(desk, farm=replace(desk.farm, fields=fields))
    assert client_as("grower", ("hallock",)).get("/fields/windmill").status_code == 404


def test_a_field_registered_after_the_morning_says_so(app, client_as):
    desk = app.state.desk
    new = desk.farm.fields["windmill"].model_copy(update={"id": "new", "name": "New Ground"})
    fields = {**desk.farm.fields, "new": new}
    app.state.desk = replace(desk, farm=replace(desk.farm, fields=fields))
    answer = client_as("scout").get("/fields/new")
    assert answer.status_code == 200
    assert "registered after the last morning" in answer.text


def test_a_field_sprayed_since_the_morning_is_not_called_any_more(farm, clock, client_as):
    client = client_as("dispatcher")
    assert "full window" in client.get("/fields/windmill").text
    _spray(farm)
    clock.passes(timedelta(hours=1))
    answer = client.get("/fields/windmill")
    said = _text(answer)
    assert "CALL OVERTAKEN" in said
    assert "A spray was logged since the morning." in said
    before_figures = answer.text.partition('id="figures"')[0]
    assert not re.search("SPRAY, number|full window|spray by", before_figures)


def test_a_field_frozen_since_is_not_walked_for_its_maturity_any_more(farm, clock, client_as):
    farm.stores.freezes.add(Freeze(uuid=uuid4(), field_id="low-ford", froze_utc=farm.now), farm.now)
    clock.passes(timedelta(hours=1))
    said = _text(client_as("dispatcher").get("/fields/low-ford"))
    assert "A killing freeze was logged since the morning." in said
    assert "WALK" not in said


def test_calls_of_another_day_and_their_hours_are_not_shown(clock, client_as):
    clock.passes(timedelta(days=1))
    answer = client_as("dispatcher").get("/fields/windmill")
    assert "This is not of today." in answer.text
    before_figures = answer.text.partition('id="figures"')[0]
    assert not re.search("SPRAY, number|full window|spray by|<figure", before_figures)


def test_a_call_whose_forecast_has_grown_old_since_is_overtaken(clock, client_as):
    """Issued 2:40 am; past 12 h of age no spray is called, settable in the policy."""
    clock.passes(timedelta(hours=10))
    said = _text(client_as("dispatcher").get("/fields/windmill"))
    assert "CALL OVERTAKEN" in said
    assert "too old to send a rig on" in said


def test_hours_past_are_not_shown(clock, client_as):
    client = client_as("scout")
    assert "today 8 am" in _text(client.get("/fields/windmill"))
    clock.passes(timedelta(hours=4))
    rows = client.get("/fields/windmill").text.partition("Every hour as a table")[2]
    assert re.search(r"<th scope=\"row\">(.*?)</th>", rows)[1] == "today 10 am"


def test_what_is_not_known_is_said_first_and_shows_no_window(client_as):
    """Dugout of the demo has a hole in its forecast: no wind at 11 am."""
    answer = client_as("scout").get("/fields/dugout")
    said = _text(answer)
    assert "NOT KNOWN" in said
    assert "wind not known today 11 am" in said
    assert "full window" not in said.partition("All figures")[0].partition("Hours ahead")[2][99:]


@pytest.mark.parametrize(
    "field_id", ["low-ford", "turnrow", "bell-mare", "beaver-trap", "west-well"]
)
def test_every_kind_of_field_has_its_page(client_as, field_id):
    for role, growers in (("dispatcher", ()), ("grower", ("hallock", "aldama", "quillen"))):
        assert client_as(role, growers).get(f"/fields/{field_id}").status_code == 200


def test_the_projection_of_a_field_to_walk_has_its_range(client_as):
    """Wed 7 Oct of Low Ford: 3.2, 2.4 to 4.0, as `explain low-ford` tells the coming days."""
    said = _text(client_as("scout").get("/fields/low-ford"))
    assert "Wed 7 Oct 3.2 (2.4 to 4) 68 % projected" in said
    assert "at most 4 nodes above cracked boll (NACB) and at least 60 % open" in said


def test_records_are_escaped_and_those_taken_back_are_struck_out(farm, desk, client_as):
    visit = Visit(uuid=uuid4(), field_id="windmill", observed_utc=farm.now, note="<b>wet</b> =1+1")
    farm.stores.visits.add([visit], farm.now)
    desk.fields.take_back("visit", visit.uuid, "R. Vale", "wrong field")
    text = client_as("scout").get("/fields/windmill").text
    assert "<s>&lt;b&gt;wet&lt;/b&gt; =1+1</s>" in text
    assert "by R. Vale: wrong field" in text


def test_notes_that_name_anothers_field_are_not_told_to_growers(farm, client_as):
    visit = Visit(
        uuid=uuid4(), field_id="windmill", observed_utc=farm.now, note="riper than South Pivot"
    )
    farm.stores.visits.add([visit], farm.now)
    assert "riper than South Pivot" in client_as("scout").get("/fields/windmill").text
    assert "riper than" not in client_as("grower", ("hallock",)).get("/fields/windmill").text


def test_metric_farms_read_metric_figures(app, client_as):
    """32 F is 0 C, 156 acres are 63 ha; the order counts in acres all the same."""
    desk = app.state.desk
    app.state.desk = replace(desk, farm=replace(desk.farm, units="metric"))
    said = _text(client_as("scout").get("/fields/windmill"))
    assert "63 ha, 3 rig-h" in said
    assert "Full line 0C, freezing; broken line -2.2C, killing." in said
    assert "156 acres, 63 ha" in said
    assert "km/h" in said
    assert not re.search(r"\d mph", said.partition("Why this place")[0])


def test_looking_changes_nothing(farm, client_as):
    before = newest_rows(farm.stores.database, *RECORDS)
    client_as("dispatcher").get("/fields/windmill")
    assert newest_rows(farm.stores.database, *RECORDS) == before


def test_what_has_no_part_in_the_call_stands_beside_it_marked_so(app, client_as):
    desk = app.state.desk
    report = desk.mornings.latest()
    watch = FreezeAlertFigures(event="Freeze Watch", sender="an office")
    fields = tuple(one.model_copy(update={"alerts": (watch,)}) for one in report.fields)
    app.state.desk = replace(
        desk, mornings=_Told(report.model_copy(update={"fields": fields}), desk)
    )
    text = client_as("grower", ("hallock",)).get("/fields/windmill").text
    aside = text.partition("<aside")[2].partition("</aside>")[0]
    assert "Beside the call, and no part of it" in aside
    assert "Freeze Watch" in aside


def test_a_held_field_shows_what_the_weather_allows_and_no_window(app, client_as):
    desk = app.state.desk
    report = desk.mornings.latest()
    fields = tuple(one.model_copy(update={"held_for_harvest": True}) for one in report.fields)
    app.state.desk = replace(
        desk, mornings=_Told(report.model_copy(update={"fields": fields}), desk)
    )
    said = _text(client_as("operator").get("/fields/windmill"))
    assert "SPRAY, held" in said
    assert "that is no call" in said


class _Told:
    """Mornings that hold one report."""

    def __init__(self, report, desk):
        self._report, self._since = report, desk.mornings.since(report)

    def latest(self):
        return self._report

    def since(self, report):
        return self._since


def test_a_damaged_record_is_told_and_the_rest_is_shown(farm, demo, client_as):
    with closing(sqlite3.connect(next(demo.glob("*.sqlite3")))) as database, database:
        database.execute("update visits set record = 'spoilt' where field_id = 'windmill'")
    answer = client_as("scout").get("/fields/windmill")
    assert answer.status_code == 200
    assert "1 damaged." in answer.text
    assert (
        "counted on 12 plants"
        not in answer.text.lower().partition('id="figures"')[0].partition('id="maturity"')[2]
    )
