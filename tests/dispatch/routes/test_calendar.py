"""The calendar of a plan, read back by a reader of calendars."""

from datetime import timedelta

import pytest
from by_force import Steps
from mornings_for_rigs import fleet, good_morning, since

from dispatch.routes.calendar import plan_ics, rigs_told, stop_uid
from dispatch.routes.plan import Change, PlannedAt, RoutePlan
from dispatch.routes.rig_plan import plan_rigs

icalendar = pytest.importorskip("icalendar", reason="the writer of calendars is not installed")
NOW = since().now


@pytest.fixture(scope="module")
def plan() -> RoutePlan:
    return plan_rigs(good_morning(), fleet(), since(), Steps(50))


def events(text: str) -> dict[str, object]:
    return {str(one["uid"]): one for one in icalendar.Calendar.from_ical(text).walk("VEVENT")}


def test_every_stop_is_an_entry_at_its_hours(plan):
    found = events(plan_ics(plan, "Test farm", NOW))
    stops = {
        stop_uid("Test farm", one.rig_id, stop.field_id, 2026): stop
        for one in plan.days
        for stop in one.stops
    }
    assert set(found) == set(stops)
    for uid, stop in stops.items():
        assert found[uid].decoded("dtstart") == stop.start_utc
        assert found[uid].decoded("dtend") == stop.end_utc
        assert stop.field_name in str(found[uid]["summary"])
        assert "label is the law" in str(found[uid]["description"])


def test_a_later_plan_is_a_later_revision_of_the_same_entries(plan):
    first = events(plan_ics(plan, "Test farm", NOW))
    kept = plan.model_copy(update={"revision": 7, "made_utc": NOW + timedelta(minutes=5)})
    later = events(plan_ics(kept, "Test farm", NOW + timedelta(hours=1)))
    assert set(first) == set(later)
    for uid, one in first.items():
        assert one["sequence"] == 0
        assert later[uid]["sequence"] == 7
        assert later[uid].decoded("dtstamp") == NOW + timedelta(minutes=5)


def lost(plan: RoutePlan, what: str, field_id: str) -> RoutePlan:
    """The plan after one in which another rig had a field."""
    before = PlannedAt(rig_id="old", rig_name="Old rig", on=plan.days[0].on, start_utc=NOW)
    change = Change(field_id=field_id, field_name="F", what=what, before=before, why="Rain came")
    return plan.model_copy(update={"changes": (change,), "revision": 3})


@pytest.mark.parametrize(("what", "field_id"), [("dropped", "gone"), ("moved", "f1")])
def test_a_stop_a_rig_has_no_more_is_cancelled_in_its_calendar(plan, what, field_id):
    told = lost(plan, what, field_id)
    assert rigs_told(told) == [*dict.fromkeys(day.rig_id for day in plan.days), "old"]
    found = events(plan_ics(told, "Test farm", NOW, "old"))
    assert list(found) == [stop_uid("Test farm", "old", field_id, 2026)]
    (one,) = found.values()
    assert (str(one["status"]), one["sequence"]) == ("CANCELLED", 3)
    assert "Rain came" in str(one["description"])
    stops = sum(len(day.stops) for day in plan.days)
    assert len(events(plan_ics(told, "Test farm", NOW))) == stops + 1


def test_a_stop_that_stays_with_its_rig_is_moved_and_not_cancelled(plan):
    day = plan.days[0]
    before = PlannedAt(rig_id=day.rig_id, rig_name="Wide", on=day.on, start_utc=NOW)
    change = Change(
        field_id=day.stops[0].field_id, field_name="F", what="moved", before=before, why="Rain"
    )
    told = plan.model_copy(update={"changes": (change,)})
    assert not any("status" in one for one in events(plan_ics(told, "F", NOW)).values())


def test_a_calendar_of_one_rig_holds_its_stops_alone(plan):
    other = plan.days[0].model_copy(update={"rig_id": "small", "rig_name": "Small rig"})
    both = plan.model_copy(update={"days": (*plan.days, other)})
    own = events(plan_ics(both, "Test farm", NOW, "small"))
    assert all("Small rig" in str(one["summary"]) for one in own.values())
    assert len(own) == len(other.stops)


def test_names_with_odd_signs_neither_break_a_line_nor_meet(plan):
    days = (plan.days[0].model_copy(update={"rig_name": "Wide, old; \\rig\r\nEND:VEVENT"}),)
    text = plan_ics(plan.model_copy(update={"days": days}), "Test farm", NOW)
    ends = text.split("\r\n").count("END:VEVENT")
    assert ends == len(plan.days[0].stops) == len(events(text))
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))
    assert stop_uid("F", "rig 1", "x", 2026) != stop_uid("F", "rig-1", "x", 2026)
    assert stop_uid("F", "große", "x", 2026).isascii()
