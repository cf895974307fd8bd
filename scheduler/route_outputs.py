"""A plan of rigs in the shapes it is handed out in: rows to read, JSON, CSV."""

import csv
import io
import json
from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from dispatch.routes.changes import change_words
from dispatch.routes.plan import PlannedDay, RoutePlan, Stop
from dispatch.routes.what_if import WhatIf
from dispatch.words import LocalClock, amount, day, plural
from scheduler.outputs import safe_cell, without_nan

STOP_HEADERS = ("", "field", "come", "spray", "to", "acres", "effect", "miles", "tanks", "")
LEFT_HEADERS = ("not covered", "acres", "why", "what would change it")
CHANGE_HEADERS = ("changed", "how", "why")
IF_HEADERS = ("rigs", "day", "acres in full windows", "acres", "fields", "not covered")

CSV_COLUMNS = (
    *("rig_id", "rig", "driver", "date", "stop", "field_id", "field", "acres", "mix_id"),
    *("arrive_local", "start_local", "end_local", "drive_min", "miles", "tanks", "by_yard"),
    *("cleanout_min", "effect_pct", "full_window", "lacks"),
)


def plan_json(plan: RoutePlan) -> str:
    """The plan as JSON text; times are UTC."""
    told = without_nan(plan.model_dump(mode="json"))
    return json.dumps({"routes": told}, indent=2, ensure_ascii=False, allow_nan=False)


def what_if_json(rows: Sequence[WhatIf]) -> str:
    """The comparison as JSON text."""
    told = [without_nan(one.model_dump(mode="json")) for one in rows]
    return json.dumps({"what_if": told}, indent=2, allow_nan=False)


def plan_csv(plan: RoutePlan) -> str:
    """One row a stop, in local time, safe to open in a spreadsheet."""
    written = io.StringIO()
    out = csv.writer(written, lineterminator="\n")
    out.writerow(CSV_COLUMNS)
    zone = ZoneInfo(plan.time_zone)
    for one in plan.days:
        for number, stop in enumerate(one.stops, 1):
            out.writerow([safe_cell(cell) for cell in _csv_row(one, number, stop, zone)])
    return written.getvalue()


def _csv_row(one: PlannedDay, number: int, stop: Stop, zone: ZoneInfo) -> list[object]:
    times = (stop.arrive_utc, stop.start_utc, stop.end_utc)
    return [
        *(one.rig_id, one.rig_name, one.driver, one.on.isoformat(), str(number)),
        *(stop.field_id, stop.field_name, stop.acres, stop.mix_id),
        *(_local(moment, zone) for moment in times),
        *(stop.drive_min, stop.miles, stop.fills, "yes" if stop.by_yard else "no"),
        *(stop.cleanout_min, stop.effect_pct, "yes" if stop.full else "no", stop.lacks),
    ]


def _local(moment: datetime, zone: ZoneInfo) -> str:
    return moment.astimezone(zone).isoformat(timespec="minutes")


def day_title(one: PlannedDay, clock: LocalClock) -> str:
    """What stands over a rig's day."""
    driver = f", {one.driver} drives" if one.driver else ""
    tanks = sum(stop.fills for stop in one.stops)
    return (
        f"{day(one.on)}, {one.rig_name}{driver}: out {clock.hour(one.leave_utc)}, back "
        f"{clock.hour(one.back_utc)}; {plural(len(one.stops), 'field')}, {amount(one.acres)} ac, "
        f"{amount(one.miles)} mi" + (f", {plural(tanks, 'tank')}" if tanks else "")
    )


def stop_rows(one: PlannedDay, clock: LocalClock) -> list[tuple[str, ...]]:
    """A rig's day as rows under `STOP_HEADERS`."""
    return [
        (
            str(number),
            stop.field_name,
            clock.hour(stop.arrive_utc),
            clock.hour(stop.start_utc),
            clock.hour(stop.end_utc),
            amount(stop.acres),
            f"{stop.effect_pct:.0f}",
            amount(stop.miles),
            str(stop.fills) if stop.fills else "",
            _remarks(stop),
        )
        for number, stop in enumerate(one.stops, 1)
    ]


def _remarks(stop: Stop) -> str:
    told = [
        {"planned": "", "under_way": "under way", "done": "done"}[stop.state],
        "locked" if stop.locked else "",
        "" if stop.full else f"SHORT: {stop.lacks}" if stop.lacks else "SHORT",
        "fill at the yard" if stop.by_yard else "",
        f"clean out {stop.cleanout_min} min" if stop.cleanout_min else "",
    ]
    return "; ".join(one for one in told if one)


def change_rows(plan: RoutePlan, clock: LocalClock) -> list[tuple[str, ...]]:
    """What the plan does otherwise than the one before, under `CHANGE_HEADERS`."""
    return [(one.field_name, *change_words(one, clock)) for one in plan.changes]


def left_rows(plan: RoutePlan) -> list[tuple[str, ...]]:
    """The fields no rig comes to, under `LEFT_HEADERS`."""
    return [(one.field_name, amount(one.acres), one.why, one.would_change) for one in plan.left_out]


def what_if_rows(rows: Sequence[WhatIf]) -> list[tuple[str, ...]]:
    """The comparison under `IF_HEADERS`."""
    return [
        (
            str(one.rigs),
            "as entered" if one.hours_h is None else f"{amount(one.hours_h)} h",
            f"{one.acres_full:.0f}",
            f"{one.acres:.0f}",
            str(one.fields),
            str(one.left_out),
        )
        for one in rows
    ]


def totals(plan: RoutePlan) -> str:
    """The plan in one sentence."""
    left_ac = sum(one.acres for one in plan.left_out)
    return (
        f"{plural(plan.fields, 'field')}, {plan.acres:.0f} ac, {plan.acres_full:.0f} of them in "
        f"full windows, worth {plan.worth_ac:.0f} ac at full effect; {plan.miles:.0f} mi; not "
        f"covered {plural(len(plan.left_out), 'field')}, {left_ac:.0f} ac."
    )
