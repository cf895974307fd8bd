"""What `explain` tells of a field that froze, of a picked one, and of one held for the harvest."""

from datetime import UTC, date, datetime

import pytest

from dispatch.report import AfterFreeze, HarvestRoom
from scheduler.explanation import Evidence, explain
from scheduler.show_sections import show_sections


def shown(report, call, capsys, **run):
    if run:
        report = report.model_copy(update={"run": report.run.model_copy(update=run)})
    show_sections(explain(Evidence(report, call)))
    return " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize(
    ("more", "wanted"),
    [
        (
            {"confirmed": True},
            ("told by: a person", "low at the field: 24F", "look at it: 6-9 Oct"),
        ),
        ({"confirmed": False}, ("told by: the forecast of that night; nobody has confirmed it",)),
        (
            {
                "confirmed": True,
                "low_f": None,
                "found": "killed",
                "inspected_utc": datetime(2026, 10, 5, 15, tzinfo=UTC),
            },
            ("low at the field: not told", "looked at: Mon 10 am: killed"),
        ),
    ],
)
def test_a_frozen_field_is_explained_by_its_freeze(report, capsys, more, wanted):
    freeze = {
        "froze_utc": datetime(2026, 10, 1, 11, tzinfo=UTC),
        "low_f": 24.0,
        "days_since": 5.0,
        "inspect_from": date(2026, 10, 6),
        "inspect_until": date(2026, 10, 9),
        "due_today": True,
    }
    call = report.fields[1].model_copy(
        update={"after_freeze": AfterFreeze(**freeze | more), "rank": None}
    )
    told = shown(report, call, capsys)

    assert "North Draw: AFTER THE FREEZE" in told
    assert "Flick the leaves" in told
    for line in wanted:
        assert line in told
    assert "The order" not in told


def test_a_picked_field_says_when(report, capsys):
    call = report.fields[1].model_copy(update={"picked_on": date(2026, 10, 4)})
    told = shown(report, call, capsys)

    assert "North Draw: PICKED" in told
    assert "picked: Sun 4 Oct" in told


def test_a_held_field_says_so_beside_its_place_and_what_fills_the_harvest(report, capsys):
    room = HarvestRoom(acres_a_day=60, within_days=10, backlog_acres=500, room_acres=100)
    call = report.fields[1].model_copy(update={"held_for_harvest": True})
    told = shown(report, call, capsys, harvest=room)

    assert "North Draw: SPRAY, number 1 of 1, held for the harvest" in told
    assert "Harvest: 500 ac sprayed and not picked; at 60 ac a day, room for 100 ac more" in told
