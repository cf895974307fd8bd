"""Files of a plan: sheets to print for each rig's day, and a calendar for each rig."""

import json
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from dispatch.routes.calendar import plan_ics, rigs_told
from dispatch.routes.plan import RoutePlan
from dispatch.routes.plan_map import plan_geojson
from dispatch.routes.rig_plan import yard_of
from dispatch.words import LocalClock, plural
from notify.rig_sheet import FarmFacts, rig_sheet
from scheduler.route_outputs import plan_csv, plan_json
from scheduler.speaking import talk
from scheduler.written_files import file_names, write_files

if TYPE_CHECKING:
    from dispatch.report import MorningReport
    from scheduler.opening import OpenFarm

#: What tells a file of ours, so that one of an earlier plan can be pointed out.
SHEET_MARK = '<meta name="generator" content="warmspell routes">'


def plan_in_form(form: str, plan: RoutePlan, facts: FarmFacts, now: datetime) -> str:
    """The plan as text: ``json``, ``csv``, ``geojson`` or ``ics``."""
    if form == "ics":
        return plan_ics(plan, facts.farm_name, now)
    if form == "geojson":
        gates = {field_id: one.entry for field_id, one in facts.fields.items()}
        yards = {rig_id: yard_of(one) for rig_id, one in facts.rigs.items()}
        known = {rig_id: yard for rig_id, yard in yards.items() if yard is not None}
        return json.dumps(plan_geojson(plan, gates, known), ensure_ascii=False, allow_nan=False)
    return plan_json(plan) if form == "json" else plan_csv(plan)


def farm_facts(farm: "OpenFarm", report: "MorningReport") -> FarmFacts:
    """What sheets tell beside the plan, as the configuration has it now."""
    config = farm.config
    return FarmFacts(
        farm_name=report.run.farm_name,
        rigs={one.id: one for one in config.settings.rigs},
        mixes={one.id: one for one in config.settings.treatments},
        fields={one.id: one for one in config.fields},
        gates={field_id: one.gates for field_id, one in config.rules.items()},
    )


def write_sheets(
    target: Path, plan: RoutePlan, facts: FarmFacts, report: "MorningReport"
) -> list[Path]:
    """Write the sheets: all in ``target`` if it ends in .html, else one file a rig's day in it.

    Raises
    ------
    DataError
        They cannot be written there.
    """
    from notify.render import as_sheets

    run = report.run
    clock = LocalClock(plan.time_zone, run.time_zone, run.local_date)
    sheets = [rig_sheet(plan, one, facts, clock) for one in plan.days]
    if target.suffix.lower() in (".html", ".htm"):
        title = f"{facts.farm_name}: {plural(len(sheets), 'sheet')}"
        return write_files(target.parent, {target.name: as_sheets(sheets, title)})
    names = file_names([f"{one.on.isoformat()}-{one.rig_id}" for one in plan.days], ".html")
    files = {
        name: as_sheets([sheet], f"{sheet.day}: {sheet.rig}")
        for name, sheet in zip(names, sheets, strict=True)
    }
    written = write_files(target, files)
    _point_out_older(target, files)
    return written


def _point_out_older(folder: Path, files: Mapping[str, str]) -> None:
    """Say which sheets of an earlier plan still lie there; they are the user's to throw away."""
    older = [
        path.name
        for path in sorted(folder.glob("*.html"))
        if path.name not in files and SHEET_MARK in path.read_text("utf-8", errors="replace")
    ]
    if older:
        talk(f"{folder}: not of this plan, throw them away: {', '.join(older)}.")


def write_calendars(folder: Path, plan: RoutePlan, facts: FarmFacts, now: datetime) -> list[Path]:
    """Write one calendar a rig, told of stops it lost too.

    Raises
    ------
    DataError
        They cannot be written there.
    """
    rigs = rigs_told(plan)
    names = file_names(rigs, ".ics")
    files = {
        name: plan_ics(plan, facts.farm_name, now, rig_id)
        for name, rig_id in zip(names, rigs, strict=True)
    }
    return write_files(folder, files)
