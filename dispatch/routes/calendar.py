"""A plan as calendar entries, by RFC 5545: one for each stop, the same one when it moves."""

import re
from collections.abc import Iterator
from datetime import datetime
from typing import TYPE_CHECKING

from dispatch.routes.part_names import job_id
from dispatch.routes.plan import Change, PlannedAt, PlannedDay, RoutePlan, Stop
from dispatch.words import amount

if TYPE_CHECKING:
    from icalendar import Event

CAUTION = "The label is the law; the applicator decides, by the wind where they stand."


def plan_ics(
    plan: RoutePlan,
    farm_name: str,
    now: datetime,
    rig_id: str | None = None,
    *,
    times_only: bool = False,
) -> str:
    """The plan as text of an iCalendar file, of one rig or of all together.

    With ``times_only`` it says nothing of the way to a stop, nor who drives.

    A field keeps its entry on a rig for the whole season, so a later plan moves it in every
    calendar that took the earlier one: a kept plan has a higher revision than the last. What a
    rig had in the plan before and has no more is told as cancelled.
    """
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", "-//warmspell//routes//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    stamp = plan.made_utc or now
    named = next((day.rig_name for day in plan.days if day.rig_id == rig_id), rig_id or "rigs")
    calendar.add("x-wr-calname", f"{farm_name}: {named}")
    for day in plan.days:
        for stop in day.stops if rig_id in (None, day.rig_id) else ():
            lines = [CAUTION] if times_only else _lines(day, stop)
            calendar.add_component(_event(plan, day, stop, farm_name, stamp, lines))
    for change, lost in _lost(plan):
        if rig_id in (None, lost.rig_id):
            calendar.add_component(_cancelled(plan, change, lost, farm_name, stamp))
    return str(calendar.to_ical().decode("utf-8"))


def rigs_told(plan: RoutePlan) -> list[str]:
    """Ids of the rigs that the plan has something to tell: stops, or stops they lost."""
    rigs = [*(day.rig_id for day in plan.days), *(lost.rig_id for _, lost in _lost(plan))]
    return list(dict.fromkeys(rigs))


def _lost(plan: RoutePlan) -> Iterator[tuple[Change, PlannedAt]]:
    """Stops that a rig had in the plan before and has no more."""
    has = {(day.rig_id, _job(stop)) for day in plan.days for stop in day.stops}
    for one in plan.changes:
        if one.before is not None and (one.before.rig_id, _job(one)) not in has:
            yield one, one.before


def _job(one: Stop | Change) -> str:
    """The field, or the part of it, that an entry is about."""
    return job_id(one.field_id, one.part, one.parts)


def stop_uid(farm_name: str, rig_id: str, field_id: str, year: int) -> str:
    """The name of a stop's entry, the same for a field on a rig all season."""
    return entry_uid("routes", farm_name, rig_id, field_id, str(year))


def entry_uid(of: str, *parts: str) -> str:
    """The name of an entry from all that makes it the same one again."""
    *texts, last = parts
    return "-".join([*(_plain(one) for one in texts), last]) + f"@{of}.warmspell"


def _entry(plan: RoutePlan, uid: str, stamp: datetime) -> "Event":
    from icalendar import Event

    told = Event()
    told.add("uid", uid)
    told.add("sequence", plan.revision)
    told.add("dtstamp", stamp)
    return told


def _cancelled(
    plan: RoutePlan, change: Change, lost: PlannedAt, farm_name: str, stamp: datetime
) -> "Event":
    uid = stop_uid(farm_name, lost.rig_id, _job(change), lost.on.year)
    told = _entry(plan, uid, stamp)
    told.add("status", "CANCELLED")
    told.add("dtstart", lost.start_utc)
    told.add("summary", f"Not any more: {change.field_name}, {lost.rig_name}")
    told.add("description", f"{change.why}\n{CAUTION}")
    return told


def _event(
    plan: RoutePlan,
    day: PlannedDay,
    stop: Stop,
    farm_name: str,
    stamp: datetime,
    lines: list[str],
) -> "Event":
    uid = stop_uid(farm_name, day.rig_id, _job(stop), day.on.year)
    told = _entry(plan, uid, stamp)
    told.add("dtstart", stop.start_utc)
    told.add("dtend", stop.end_utc)
    short = "" if stop.full else f" (SHORT: {stop.lacks or 'part of a window'})"
    summary = f"Spray {stop.field_name}, {amount(stop.acres)} ac: {day.rig_name}{short}"
    told.add("summary", summary)
    told.add("description", "\n".join(lines))
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
