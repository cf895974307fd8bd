"""The shapes a morning is handed out in: JSON for programs, CSV for spreadsheets, rows to read.

Names and nesting of the JSON are fixed; other programs read them. What is not known is null
there and an empty cell in CSV, never NaN.
"""

import json
import math
from datetime import datetime
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from dispatch.report import FieldCall, MorningReport
from dispatch.words import LocalClock, amount

if TYPE_CHECKING:
    import pandas as pd

#: First letters that make a spreadsheet run a text as a formula.
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\0")

_FIGURES = (
    "rank",
    "call",
    "effect_pct",
    "back_of_line_pct",
    "back_of_line_on",
    "cost_pct",
    "acres_lost",
    "order_points",
    "rig_hours",
    "reasons",
    "to_do",
    "windows",
    "spray_by_utc",
    "spray_by_bound",
    "wait_until",
    "rain_free_h",
    "rain_free_needed_h",
    "heat_units_7d_f_days",
    "heat_units_14d_f_days",
    "heat_14d_on_climate",
    "leaf_drop_expected_on",
    "spray_now_costs_crop_pct",
    "spray_now_costs_by",
    "waiting_costs_crop_pct",
    "freeze",
    "maturity",
    "forecast",
    "follow_up",
    "alerts",
    "alerts_problem",
    "further",
)


def report_json(report: MorningReport) -> str:
    """The whole morning as JSON text."""
    told = {
        "run": report.run.model_dump(mode="json"),
        "fields": [_field_json(one) for one in report.fields],
    }
    return json.dumps(without_nan(told), indent=2, ensure_ascii=False, allow_nan=False)


def _field_json(one: FieldCall) -> dict[str, Any]:
    dumped = one.model_dump(mode="json", exclude={"strip", "field"})
    return {
        "field_id": one.field.id,
        "name": one.field.name,
        "grower_id": one.field.grower_id,
        "grower": one.grower_name,
        "acres": one.field.acres,
        "time_zone": one.field.time_zone,
        "treatment_id": one.field.treatment_id,
        "treatment": one.treatment_name,
        **{name: dumped[name] for name in _FIGURES},
        "factors_now": dumped["factors_now"],
        "factors_back": dumped["factors_back"],
    }


def without_nan(value: Any) -> Any:
    """``value`` with every number that is not finite as None, however deep."""
    if isinstance(value, dict):
        return {key: without_nan(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [without_nan(inner) for inner in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def report_frame(report: MorningReport) -> "pd.DataFrame":
    """The morning as a table, one row a field in the order of the digest."""
    import pandas as pd

    return pd.DataFrame([_flat(one) for one in report.fields])


def report_csv(report: MorningReport) -> str:
    """The morning as CSV text, safe to open in a spreadsheet."""
    frame = report_frame(report)
    for column in frame.columns:
        frame[column] = [safe_cell(value) for value in frame[column].tolist()]
    text: str = frame.to_csv(index=False, lineterminator="\n")
    return text


def safe_cell(value: Any) -> Any:
    """A cell that no spreadsheet runs as a formula; unknown is empty, numbers stay numbers."""
    if value is None or (isinstance(value, float) and math.isnan(value)):
        return ""
    if isinstance(value, str) and value.startswith(_FORMULA_STARTS):
        return "'" + value
    return f"{value:g}" if isinstance(value, float) else value


def _flat(one: FieldCall) -> dict[str, Any]:
    best = one.windows[0] if one.windows else None
    zone = ZoneInfo(one.field.time_zone)
    return {
        "rank": "" if one.rank is None else str(one.rank),
        "call": _standing(one) or one.call.value,
        "field_id": one.field.id,
        "name": one.field.name,
        "grower": one.grower_name,
        "acres": one.field.acres,
        "effect_pct": _rounded(one.effect_pct),
        "back_of_line_pct": _rounded(one.back_of_line_pct),
        "cost_pct": _rounded(one.cost_pct),
        "acres_lost": _rounded(one.acres_lost),
        "rig_hours": _rounded(one.rig_hours),
        "window_start_local": _local(best.start_utc if best else None, zone),
        "window_end_local": _local(best.end_utc if best else None, zone),
        "spray_by_local": _local(one.spray_by_utc, zone),
        "rain_free_h": _rounded(one.rain_free_h),
        "rain_free_needed_h": one.rain_free_needed_h,
        "freeze_lead_days": _rounded(one.freeze.lead_days),
        "freeze_chance_7d_pct": _rounded(one.freeze.chance_7d_pct),
        "freeze_known_through_local": _local(one.freeze.known_through_utc, zone),
        "heat_units_7d_f_days": _rounded(one.heat_units_7d_f_days),
        "maturity": one.maturity.state,
        "nodes_above_cracked_boll": one.maturity.nodes_above_cracked_boll,
        "percent_open": one.maturity.percent_open,
        "visit_age_days": _rounded(one.maturity.visit_age_days),
        "ready_on": _text(one.maturity.ready_on),
        "wait_until": _text(one.wait_until),
        "forecast_source": one.forecast.source,
        "forecast_age_h": _rounded(one.forecast.age_h),
        "why": " ".join(one.reasons),
        "to_do": one.to_do,
    }


def _standing(one: FieldCall) -> str:
    """The list a field is on, or that its place is held; empty for the plain call."""
    if one.held_for_harvest:
        return f"{one.call.value}, held"
    return "" if one.standing == "open" else one.standing


def _rounded(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else round(value, 2)


def _local(moment_utc: datetime | None, zone: ZoneInfo) -> str:
    return "" if moment_utc is None else moment_utc.astimezone(zone).isoformat(timespec="minutes")


def _text(value: object) -> str:
    return "" if value is None else str(value)


RANK_HEADERS = ("", "call", "field", "acres", "now", "later", "spray by", "why")


def rank_rows(report: MorningReport) -> list[tuple[str, ...]]:
    """The morning as rows to read, under `RANK_HEADERS`."""
    return [_rank_row(one, report) for one in report.fields]


def _rank_row(one: FieldCall, report: MorningReport) -> tuple[str, ...]:
    clock = LocalClock(one.field.time_zone, report.run.time_zone, report.run.local_date)
    return (
        "" if one.rank is None else str(one.rank),
        _standing(one) or one.call.value.upper(),
        one.field.name,
        amount(one.field.acres),
        "" if one.effect_pct is None else f"{one.effect_pct:.0f}",
        "" if one.back_of_line_pct is None else f"{one.back_of_line_pct:.0f}",
        clock.weekday_moment(one.spray_by_utc) if one.spray_by_utc else "",
        next(iter(one.reasons), one.to_do),
    )
