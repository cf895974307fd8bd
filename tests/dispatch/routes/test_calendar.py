"""The calendar of a plan, read back by a reader of calendars."""

from datetime import timedelta

import pytest
from by_force import Steps
from mornings_for_rigs import fleet, good_morning, since

from dispatch.routes.calendar import plan_ics, revision, stop_uid
from dispatch.routes.plan import RoutePlan
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
    later = events(plan_ics(plan, "Test farm", NOW + timedelta(minutes=5)))
    assert set(first) == set(later)
    for uid, one in first.items():
        assert later[uid]["sequence"] > one["sequence"]
    assert revision(NOW + timedelta(days=365 * 50)) < 2**31


def test_names_with_odd_signs_neither_break_a_line_nor_meet(plan):
    days = (plan.days[0].model_copy(update={"rig_name": "Wide, old; \\rig\r\nEND:VEVENT"}),)
    text = plan_ics(plan.model_copy(update={"days": days}), "Test farm", NOW)
    ends = text.split("\r\n").count("END:VEVENT")
    assert ends == len(plan.days[0].stops) == len(events(text))
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))
    assert stop_uid("F", "rig 1", "x", 2026) != stop_uid("F", "rig-1", "x", 2026)
    assert stop_uid("F", "große", "x", 2026).isascii()
