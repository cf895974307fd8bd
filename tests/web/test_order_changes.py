"""What changed in the line since the day before, as the order says it."""

from datetime import timedelta

import pytest

from dispatch.report import Call


@pytest.fixture
def day_before(farm):
    """Keeps a plan of the day before in which the fields named had been called."""

    def keep(*names):
        report = farm.stores.plans.latest()
        fields = [one for one in report.fields if one.standing == "open"]
        then = []
        for rank, one in enumerate(fields, 1):
            called = one.field.name in names
            update = {"call": Call.SPRAY if called else Call.WAIT, "rank": rank if called else None}
            then.append(one.model_copy(update={**update, "held_for_harvest": False}))
        run = report.run.model_copy(
            update={
                "local_date": report.run.local_date - timedelta(days=1),
                "made_utc": report.run.made_utc - timedelta(days=1),
            }
        )
        before = report.model_copy(update={"run": run, "fields": tuple(then)})
        farm.stores.plans.keep(before, {})

    return keep


def test_hours_of_a_field_that_is_not_known_are_said_to_hold_no_call(client_as):
    """Of the demo's four without a call all have hours the sky alone would allow."""
    text = client_as("scout").get("/").text
    assert text.count('aria-label="No call stands; by the sky alone: Next') == 4


def test_without_a_plan_of_yesterday_nothing_is_said(client_as):
    assert "Since yesterday" not in client_as("scout").get("/").text


def test_fields_new_in_the_line_and_out_of_it_are_named(client_as, day_before):
    """Of the demo's nine, Creek Bottom was not called yesterday; Dugout is not known today."""
    day_before(
        *("Windmill Quarter", "South Pivot", "North Bench", "Old Orchard", "Cistern"),
        *("Plum Thicket", "Gin Road Eighty", "Ridge Quarter", "Dugout"),
    )
    text = client_as("scout").get("/").text
    assert (
        "Since yesterday new in the line: Creek Bottom; called no more: Dugout (not known)." in text
    )


def test_a_grower_is_told_of_their_own_fields_only(client_as, day_before):
    day_before("Dugout", "West Well")
    text = client_as("grower", ("hallock",)).get("/").text
    assert "Since yesterday new in the line: Creek Bottom" in text
    for other in ("Dugout", "West Well", "South Pivot"):
        assert other not in text
