"""A plan of rigs in the shapes it is handed out in: JSON, CSV."""

import csv
import io
import json
from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from dispatch.routes.plan import PlannedDay, RoutePlan, Stop
from dispatch.routes.what_if import WhatIf
from scheduler.outputs import safe_cell, without_nan

CSV_COLUMNS = (
    *("rig_id", "rig", "driver", "date", "stop", "field_id", "field", "acres", "mix_id"),
    *("arrive_local", "start_local", "end_local", "drive_min", "miles", "tanks", "by_yard"),
    *("cleanout_min", "effect_pct", "full_window", "lacks", "part", "parts"),
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
        *(stop.part, stop.parts),
    ]


def _local(moment: datetime, zone: ZoneInfo) -> str:
    return moment.astimezone(zone).isoformat(timespec="minutes")
