"""A plan as calendar entries, by RFC 5545: one for each stop, the same one when it moves."""

import re
from datetime import datetime
from typing import TYPE_CHECKING

from dispatch.routes.plan import PlannedDay, RoutePlan, Stop
from dispatch.words import amount

if TYPE_CHECKING:
    from icalendar import Event

#: Where the count of revisions begins, so that it stays a small whole number.
REVISIONS_FROM = datetime.fromisoformat("2026-01-01T00:00:00+00:00")

CAUTION = "The label is the law; the applicator decides, by the wind where they stand."


def plan_ics(plan: RoutePlan, farm_name: str, now: datetime) -> str:
    """The plan as text of an iCalendar file, all rigs together.

    A field keeps its entry on a rig for the whole season, so a later plan moves it in every
    calendar that took the earlier one: each plan counts as a later revision than the last.
    """
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", "-//warmspell//routes//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", f"{farm_name}: rigs")
    for day in plan.days:
        for stop in day.stops:
            calendar.add_component(_event(day, stop, farm_name, now))
    return str(calendar.to_ical().decode("utf-8"))


def stop_uid(farm_name: str, rig_id: str, field_id: str, year: int) -> str:
    """The name of a stop's entry, the same for a field on a rig all season."""
    parts = (farm_name, rig_id, field_id)
    return "-".join([*(_plain(one) for one in parts), str(year)]) + "@routes.warmspell"


def revision(now: datetime) -> int:
    """The number of a revision: whole minutes, so that later plans count higher."""
    return max(0, int((now - REVISIONS_FROM).total_seconds() // 60))


def _event(day: PlannedDay, stop: Stop, farm_name: str, now: datetime) -> "Event":
    from icalendar import Event

    told = Event()
    told.add("uid", stop_uid(farm_name, day.rig_id, stop.field_id, day.on.year))
    told.add("sequence", revision(now))
    told.add("dtstamp", now)
    told.add("dtstart", stop.start_utc)
    told.add("dtend", stop.end_utc)
    short = "" if stop.full else f" (SHORT: {stop.lacks or 'part of a window'})"
    summary = f"Spray {stop.field_name}, {amount(stop.acres)} ac: {day.rig_name}{short}"
    told.add("summary", summary)
    told.add("description", "\n".join(_lines(day, stop)))
    told.add("categories", [day.rig_name])
    return told


def _lines(day: PlannedDay, stop: Stop) -> list[str]:
    lines = [f"{amount(stop.miles)} mi to it, {stop.drive_min} min."]
    if stop.by_yard:
        lines.append("Fill at the yard first.")
    if stop.cleanout_min:
        lines.append(f"Clean out first: {stop.cleanout_min} min.")
    if stop.fills:
        lines.append(f"Tanks: {stop.fills}.")
    if day.driver:
        lines.append(f"Drives: {day.driver}.")
    return [*lines, CAUTION]


def _plain(text: str) -> str:
    """Letters and digits that any calendar takes; what else there was, told apart by number."""
    plain = re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")
    odd = sum(ord(one) * place for place, one in enumerate(text, 1))
    return f"{plain or 'x'}.{odd % 9973}"
