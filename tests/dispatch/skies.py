"""Invented skies and farms for the tests: a warm dry week that a test then spoils on purpose."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from uuid import NAMESPACE_URL, uuid5

import numpy as np

from agronomy.hourly_forecast import FORECAST_HOURS, HourlyForecast
from agronomy.thresholds import MaturityRules, SprayGates
from dispatch.farm_morning import FarmMorning
from dispatch.field_rules import FieldRules
from dispatch.outlook import FIELDS_AT_ONCE, outlooks_of
from dispatch.policy import Climate, DispatchPolicy
from dispatch.ranking import rank_fields
from dispatch.readiness import judge_maturity
from dispatch.report import FieldCall, MorningReport
from farm.field import Field
from farm.records import Spray, Visit
from farm.rig import Rig
from farm.treatment import Treatment

#: Tuesday 6 October 2026, 6:10 am in the Central zone.
NOW = datetime(2026, 10, 6, 11, 10, tzinfo=UTC)
START = datetime(2026, 10, 6, 11, tzinfo=UTC)
ZONE = "America/Chicago"

CLIMATE = Climate(
    first_freeze_day=299,
    first_freeze_sd_days=11,
    killing_freeze_day=308,
    killing_freeze_sd_days=11,
    normal_high_f=(93, 86, 76, 64, 54),
    normal_low_f=(66, 58, 46, 34, 26),
    temp_sd_f=8,
    wet_day_pct=15,
)
TREATMENT = Treatment(id="mix", name="Mix one", rain_free_h=12)
POLICY = DispatchPolicy()


def sky(
    cells: int = 1,
    *,
    highs_f: Sequence[float] = (84,) * 9,
    lows_f: Sequence[float] = (56,) * 10,
    wind_mph: float = 6,
    age_h: float = 3,
    hourly_until_h: int = FORECAST_HOURS,
) -> HourlyForecast:
    """Clear dry days. ``lows_f[n]`` is the low of the morning n days after today."""
    hours = np.arange(FORECAST_HOURS)
    local = (hours + 6) % 24
    day = (hours + 6) // 24
    temp = np.empty(FORECAST_HOURS)
    window = np.full(FORECAST_HOURS, np.nan)
    for index, (hour, on) in enumerate(zip(local, day, strict=True)):
        high = highs_f[min(on, len(highs_f) - 1)]
        before, after = lows_f[min(on, 9)], lows_f[min(on + 1, 9)]
        low = before if hour < 16 else after
        temp[index] = (high + low) / 2 + (high - low) / 2 * np.cos(2 * np.pi * (hour - 16) / 24)
        if hour < 8:
            temp[index] = low + (temp[index] - low) * 0.5
        if hour >= 20 or hour < 10:
            window[index] = after if hour >= 20 else before
        if hour == 7:
            temp[index] = before
    temp[hourly_until_h:] = np.nan

    def block(values: object) -> np.ndarray:
        row = np.broadcast_to(np.asarray(values, dtype=np.float32), (FORECAST_HOURS,))
        return np.repeat(row[None, :], cells, axis=0).copy()

    return HourlyForecast(
        start_utc=START,
        cell_ids=tuple(f"test:{number}" for number in range(cells)),
        issued_utc=(NOW - timedelta(hours=age_h),) * cells,
        source=("Test sky",) * cells,
        problem=("",) * cells,
        elevation_ft=np.full(cells, 1500.0),
        temp_f=block(temp),
        window_low_f=block(window),
        humidity_pct=block(55),
        wind_mph=block(wind_mph),
        gust_mph=block(wind_mph + 4),
        wind_from_deg=block(180),
        sky_pct=block(10),
        rain_in=block(0),
        rain_chance_pct=block(0),
        rain_chance_from_h=block(hours // 6),
        rejected=((),) * cells,
    )


def cotton(number: int = 1, *, acres: float = 100, cold_spot_f: float = 0.0) -> Field:
    """An invented field near 34 N, 100.5 W."""
    return Field(
        id=f"f{number}",
        name=f"Field {number}",
        grower_id="g",
        latitude=34.2,
        longitude=-100.5,
        acres=acres,
        time_zone=ZONE,
        treatment_id="mix",
        cold_spot_f=cold_spot_f,
    )


def visit(
    field_id: str = "f1",
    *,
    nacb: float | None = 3.2,
    percent_open: float | None = 64,
    days_ago: float = 2,
    scout: str = "Mara",
    **more: object,
) -> Visit:
    """A scouting visit, mature unless told otherwise."""
    observed = NOW - timedelta(days=days_ago)
    return Visit(
        uuid=uuid5(NAMESPACE_URL, f"{field_id} {observed} {scout} {nacb} {percent_open}"),
        field_id=field_id,
        observed_utc=observed,
        scout=scout,
        plants_counted=12,
        nodes_above_cracked_boll=nacb,
        percent_open=percent_open,
        **more,
    )


def rules(**gates: object) -> FieldRules:
    """Default rules with some gates changed."""
    return FieldRules(SprayGates(**gates), MaturityRules(), TREATMENT, CLIMATE)


def rig(number: int = 1) -> Rig:
    """A 90 ft ground rig of about 85 acres an hour."""
    return Rig(id=f"r{number}", name=f"Rig {number}", speed_mph=12, swath_ft=90)


def morning(
    forecast: HourlyForecast,
    fields: Sequence[Field] | None = None,
    visits: Sequence[Visit] | None = None,
    *,
    rigs: int = 1,
    field_rules: FieldRules | None = None,
    sprays: Sequence[Spray] = (),
    policy: DispatchPolicy = POLICY,
    row_of: dict[str, int] | None = None,
    now: datetime = NOW,
    at_once: int = FIELDS_AT_ONCE,
    **records: object,
) -> MorningReport:
    """The report of a morning under a sky; every field lies in its own row, or all in row 0.

    ``records`` are those of `FarmMorning`: harvests, freezes, inspections and the harvest's pace.
    """
    fields = tuple(fields or [cotton()])
    visits = [visit(one.id) for one in fields] if visits is None else visits
    each = {one.id: field_rules or rules() for one in fields}
    several = len(forecast.cell_ids) == len(fields)
    row_of = row_of or {one.id: row if several else 0 for row, one in enumerate(fields)}
    farm = FarmMorning(
        name="Test farm",
        time_zone=ZONE,
        registered=fields,
        rules=each,
        rigs=tuple(rig(number) for number in range(rigs)),
        growers={"g": "Grower"},
        treatments={"mix": "Mix one"},
        sprays={one.field_id: one for one in sprays},
        policy=policy,
        **records,
    )
    outlooks = outlooks_of(forecast, row_of, fields, each, at_once)
    maturity = judge_maturity(visits, fields, each, now)
    return rank_fields(farm, outlooks, maturity, now)[0]


def only_call(report: MorningReport) -> FieldCall:
    """The one field of a report."""
    (call,) = report.fields
    return call


def with_hours(forecast: HourlyForecast, name: str, hours: slice, value: float) -> HourlyForecast:
    """The same forecast with some hours of one quantity set."""
    values = getattr(forecast, name).copy()
    values[:, hours] = value
    return replace(forecast, **{name: values})
