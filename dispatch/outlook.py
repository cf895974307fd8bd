"""Gates for every field and start hour: workable, dry long enough, freeze-free long enough."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
import numpy.typing as npt

from agronomy.hourly_forecast import QUANTITIES, HourlyForecast
from agronomy.moist_air import pressure_hpa
from agronomy.nights import FreezeGate, Nights, freeze_gate, nights_of
from agronomy.rain_amount import washing_bounds_pct
from agronomy.rain_free import dry_gate, dry_spell
from agronomy.rain_odds import RainOdds, rain_chance_bounds_pct
from agronomy.rain_share import counted_rain_in
from agronomy.sun import SunHours, sun_hours
from agronomy.three_valued import UNKNOWN, Gate
from agronomy.thresholds import SprayGates
from agronomy.workable import first_reason, workable_hours
from dispatch.field_rules import FieldRules
from farm.field import Field

Floats = npt.NDArray[np.float64]

#: Fields looked at together: with their effect curves about 20 MB of arrays at the most, however
#: many fields there are. Judgement.
FIELDS_AT_ONCE = 50


@dataclass(frozen=True, eq=False)
class Outlook:
    """What the sky allows, one row a field, one column a start hour from ``start_utc``.

    ``workable``, ``dry`` and ``freeze`` are three-valued; ``why_not`` names the first gate in the
    way of working; ``dry_h`` counts the hours without rain after each hour's spraying and
    ``dry_end`` says how that count ends; ``wash`` bounds the chance of washing rain in the hours
    the treatment needs, by chances and amounts. ``hourly`` holds the forecast of each field's
    cell.
    """

    forecast: HourlyForecast
    rows: npt.NDArray[np.int64]
    hourly: dict[str, Floats]
    sun: SunHours
    nights: Nights
    workable: Gate
    why_not: npt.NDArray[np.object_]
    dry: Gate
    dry_h: Floats
    dry_end: npt.NDArray[np.int8]
    wash: RainOdds
    freeze: FreezeGate


def field_outlook(
    forecast: HourlyForecast,
    row_of: Mapping[str, int],
    registered: Sequence[Field],
    rules: Mapping[str, FieldRules],
) -> Outlook:
    """Evaluate every gate at every start hour of the forecast.

    Parameters
    ----------
    forecast
        Hourly forecasts of the cells.
    row_of
        Row of each field's cell in the forecast.
    registered
        The fields, in the order of the outlook's rows.
    rules
        Gates and treatment of each field.

    Returns
    -------
    Outlook
    """
    rows = np.array([row_of[one.id] for one in registered], dtype=np.int64)
    hourly = {name: np.asarray(getattr(forecast, name), float)[rows] for name in QUANTITIES}
    # A chance without its interval cannot be counted, and a lost interval must not say spray.
    no_interval = np.isnan(hourly["rain_chance_from_h"])
    hourly["rain_chance_pct"] = np.where(no_interval, np.nan, hourly["rain_chance_pct"])
    sun = sun_hours(
        np.array([one.latitude for one in registered]),
        np.array([one.longitude for one in registered]),
        forecast.start_utc,
        forecast.hours,
    )
    gates = [rules[one.id].gates for one in registered]
    line = np.array([one.freeze_f for one in gates])
    nights = nights_of(
        hourly["temp_f"],
        hourly["window_low_f"],
        sun.daylight,
        sun.dawn_h,
        np.array([one.cold_spot_f for one in registered]),
        line,
    )
    rain_line = np.array([[one.rain_threshold_in] for one in gates])
    chance_line = np.array([[one.rain_chance_max_pct] for one in gates])
    rain = counted_rain_in(hourly["rain_in"], rain_line)
    chance = hourly["rain_chance_pct"]
    needed = np.array([[rules[one.id].treatment.rain_free_h] for one in registered])
    workable, why_not = _workable(
        hourly | {"rain_in": rain}, forecast.elevation_ft[rows], sun, gates
    )
    spell, spell_end = dry_spell(rain, chance, rain_line, chance_line)
    return Outlook(
        forecast=forecast,
        rows=rows,
        hourly=hourly,
        sun=sun,
        nights=nights,
        workable=workable,
        why_not=why_not,
        dry=dry_gate(rain, chance, needed, rain_line, chance_line),
        dry_h=np.maximum(spell - 1, 0),
        dry_end=spell_end,
        wash=washing_bounds_pct(
            rain_chance_bounds_pct(chance, hourly["rain_chance_from_h"], needed),
            hourly["rain_in"],
            hourly["rain_chance_from_h"],
            needed,
            rain_line,
        ),
        freeze=freeze_gate(nights, line, np.array([one.freeze_free_days for one in gates])),
    )


def outlooks_of(
    forecast: HourlyForecast,
    row_of: Mapping[str, int],
    registered: Sequence[Field],
    rules: Mapping[str, FieldRules],
    at_once: int = FIELDS_AT_ONCE,
) -> Iterator[Outlook]:
    """Outlooks of all fields, ``at_once`` of them after the others, each made when it is asked for.

    A field's figures do not depend on the fields it is looked at with.
    """
    for first in range(0, len(registered), at_once):
        yield field_outlook(forecast, row_of, registered[first : first + at_once], rules)


def _workable(
    hourly: Mapping[str, Floats],
    elevation_ft: Floats,
    sun: SunHours,
    gates: Sequence[SprayGates],
) -> tuple[Gate, npt.NDArray[np.object_]]:
    shape = hourly["temp_f"].shape
    gate = np.full(shape, UNKNOWN, dtype=np.int8)
    why_not = np.full(shape, "", dtype=object)
    for one, mine in _rows_by_gates(gates):
        result = workable_hours(
            temp_f=hourly["temp_f"][mine],
            humidity_pct=hourly["humidity_pct"][mine],
            pressure_hpa=pressure_hpa(elevation_ft[mine][:, None]),
            wind_mph=hourly["wind_mph"][mine],
            gust_mph=hourly["gust_mph"][mine],
            rain_in=hourly["rain_in"][mine],
            sun=sun_of(sun, mine),
            gates=one,
        )
        gate[mine] = result.gate
        why_not[mine] = first_reason(result)
    return gate, why_not


def _rows_by_gates(
    gates: Sequence[SprayGates],
) -> Iterator[tuple[SprayGates, npt.NDArray[np.int64]]]:
    """Fields that share their gates are evaluated together; most farms have one group."""
    groups: dict[SprayGates, list[int]] = {}
    for row, one in enumerate(gates):
        groups.setdefault(one, []).append(row)
    for one, mine in groups.items():
        yield one, np.array(mine, dtype=np.int64)


def sun_of(sun: SunHours, rows: npt.NDArray[np.int64]) -> SunHours:
    """The sun over some of the fields."""
    return replace(sun, **{one.name: getattr(sun, one.name)[rows] for one in fields(sun)})
