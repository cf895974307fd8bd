"""Arrays of one field turned into the figures people read: windows, freezes, warmth, strips."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from agronomy.heat_units import daily_heat_units
from agronomy.nights import next_at_or_below
from agronomy.rain_free import ENDS_SIGHT, ENDS_UNKNOWN
from agronomy.three_valued import NO, UNKNOWN, YES
from agronomy.thresholds import SprayGates
from dispatch.damp_air import damp_air
from dispatch.decide import Verdict
from dispatch.effect import WORK_DAYS, EffectCurve
from dispatch.outlook import Outlook
from dispatch.report import Factors, FreezeFigures, HourStrip, SprayHour, Window

COMPASS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")

#: Known hours a day's block must have for its high to be believed [h].
HOURS_FOR_A_HIGH = 10


def windows_of(
    verdict: Verdict, outlook: Outlook, curve: EffectCurve, row: int
) -> tuple[Window, ...]:
    """Runs of start hours the call rests on: full ones, or partial ones where there are none."""
    full = bool(verdict.full_h.size)
    hours = verdict.full_h if full else verdict.partial_h
    if not hours.size:
        return ()
    runs = np.split(hours, np.nonzero(np.diff(hours) > 1)[0] + 1)
    return tuple(_window(run, full, outlook, curve, row) for run in runs)


def _window(
    run: npt.NDArray[np.int64], full: bool, outlook: Outlook, curve: EffectCurve, row: int
) -> Window:
    best = int(run[int(np.nanargmax(curve.effect_pct[row, run]))])
    wind = outlook.hourly["wind_mph"][row, run]
    dry_end = int(outlook.dry_end[row, best])
    return Window(
        start_utc=outlook.forecast.hour_utc(run[0]),
        end_utc=outlook.forecast.hour_utc(run[-1] + 1),
        best_utc=outlook.forecast.hour_utc(best),
        effect_pct=float(curve.effect_pct[row, best]),
        full=full,
        dry_h=number(outlook.dry_h[row, best]),
        dry_to_sight_end=dry_end in (ENDS_SIGHT, ENDS_UNKNOWN),
        wind_low_mph=number(np.nanmin(wind)),
        wind_high_mph=number(np.nanmax(wind)),
        wind_from=compass(outlook.hourly["wind_from_deg"][row, run]),
    )


def compass(degrees: npt.ArrayLike) -> str | None:
    """Compass letters of the mean direction wind comes from; None where none is known."""
    radians = np.radians(np.asarray(degrees, float))
    known = radians[~np.isnan(radians)]
    if not known.size:
        return None
    mean = np.degrees(np.arctan2(np.sin(known).mean(), np.cos(known).mean())) % 360
    return COMPASS[int((mean + 22.5) // 45) % 8]


def freeze_figures(
    outlook: Outlook, curve: EffectCurve, row: int, from_h: int, gates: SprayGates
) -> FreezeFigures:
    """When it freezes after an hour, how likely, and how far that is known."""
    nights, forecast = outlook.nights, outlook.forecast
    first = outlook.freeze.next_freeze_h[row, from_h]
    killing = next_at_or_below(nights.temp_f[row : row + 1], gates.killing_f)[0, from_h]
    through = int(outlook.freeze.known_through_h[row])
    night = int(curve.night[row, from_h])
    lows = nights.low_f[row, night : night + WORK_DAYS]
    coldest = int(np.nanargmin(lows)) if (~np.isnan(lows)).any() else None
    known = through > 0
    return FreezeFigures(
        first_utc=None if np.isinf(first) else forecast.hour_utc(int(first)),
        killing_utc=None if np.isinf(killing) else forecast.hour_utc(int(killing)),
        lead_days=None if np.isinf(first) else round((first - from_h) / 24, 2),
        nights_free=int(outlook.freeze.nights_free[row, from_h]) if known else None,
        chance_7d_pct=_chance(curve.alive_freeze[row], night) if known else None,
        killing_chance_7d_pct=_chance(curve.alive_killing[row], night) if known else None,
        known_through_utc=forecast.hour_utc(through) if known else None,
        low_f=None if coldest is None else number(lows[coldest]),
        low_utc=(
            None
            if coldest is None
            else forecast.hour_utc(int(nights.end_h[row, night + coldest]) - 2)
        ),
    )


def _chance(alive: npt.NDArray[np.float64], night: int) -> float:
    before = alive[night - 1] if night > 0 else 1.0
    end = alive[min(night + WORK_DAYS - 1, len(alive) - 1)]
    return round(float(100 * (1 - end / before)), 1) if before > 0 else 100.0


def heat_units_7d_f_days(outlook: Outlook, row: int, from_h: int) -> float | None:
    """DD60 of the seven 24-hour days from an hour on [F days]; None if a day is not known.

    The definition behind the trade's thresholds: (high + low) / 2 - 60, floored at 0 each day.
    A day's low may come from its night window where the last hours are not known.
    """
    days = [day_heat_f_days(outlook, row, from_h + 24 * day) for day in range(WORK_DAYS)]
    told = [one for one in days if one is not None]
    return round(sum(told), 1) if len(told) == WORK_DAYS else None


def day_heat_f_days(outlook: Outlook, row: int, from_h: int) -> float | None:
    """DD60 of the 24 hours from an hour on [F days]; None if the day is not known."""
    block = slice(from_h, from_h + 24)
    hours = outlook.hourly["temp_f"][row, block]
    low = outlook.hourly["window_low_f"][row, block]
    whole = not np.isnan(hours).any() and hours.size == 24
    if not whole and ((~np.isnan(hours)).sum() < HOURS_FOR_A_HIGH or np.isnan(low).all()):
        return None
    lowest = np.nanmin(np.concatenate([hours, low]))
    return float(daily_heat_units(float(np.nanmax(hours)), float(lowest)))


def factors_at(outlook: Outlook, curve: EffectCurve, row: int, hour: int | None) -> Factors | None:
    """The multiplication behind the effect at an hour."""
    if hour is None:
        return None
    on_climate = hour >= int(curve.on_forecast_h[row])
    told = not on_climate and hour < outlook.wash.low.shape[1]
    return Factors(
        start_utc=outlook.forecast.hour_utc(hour),
        warmth=float(curve.warmth[row, hour]),
        warmth_alive=float(curve.alive_warmth[row, hour]),
        wash_chance_pct=float(curve.wash_pct[row, hour]),
        dry=float(curve.dry[row, hour]),
        ready=float(curve.ready[row, hour]),
        effect_pct=float(curve.effect_pct[row, hour]),
        dose=float(curve.dose[row, hour]),
        on_climate=on_climate,
        wash_low_pct=number(outlook.wash.low[row, hour]) if told else None,
        wash_high_pct=number(outlook.wash.high[row, hour]) if told else None,
    )


def spray_by(outlook: Outlook, row: int, first_h: int) -> tuple[datetime | None, str | None]:
    """Last start hour that still has a full window, and what ends it.

    "freeze" or "weather" where a known gate ends it, "sight" where the forecast does.
    """
    workable, dry = outlook.workable[row], outlook.dry[row]
    freeze = outlook.freeze.gate[row]
    index = np.arange(workable.size)
    full = (workable == YES) & (dry == YES) & (freeze == YES) & (index >= first_h)
    if not full.any():
        return None, None
    last = int(index[full][-1])
    frozen = outlook.freeze.next_freeze_h[row, last]
    later = (index > last) & (index < frozen) & (workable != NO) & (dry != NO)
    moment = outlook.forecast.hour_utc(last)
    if (later & (freeze == UNKNOWN)).any():
        return moment, "sight"
    if (later & (freeze == NO)).any():
        return moment, "freeze"
    return moment, "weather"


def hour_strip(
    verdict: Verdict, outlook: Outlook, row: int, first_h: int, span_h: int
) -> HourStrip:
    """The hours of the decision span, one by one."""
    hours = range(first_h, first_h + span_h)
    full, partial = set(verdict.full_h.tolist()), set(verdict.partial_h.tolist())
    workable = outlook.workable[row]
    air = damp_air(outlook, row, first_h, span_h)

    def state(hour: int) -> SprayHour:
        if hour in full:
            return "full"
        if hour in partial:
            return "partial"
        return "no" if workable[hour] == NO else "unknown"

    def told(quantity: str) -> tuple[float | None, ...]:
        return _numbers(outlook.hourly[quantity][row, first_h : first_h + span_h])

    return HourStrip(
        start_utc=outlook.forecast.hour_utc(first_h),
        spray=tuple(state(hour) for hour in hours),
        why_not=tuple(str(outlook.why_not[row, hour]) for hour in hours),
        temp_f=told("temp_f"),
        wind_mph=told("wind_mph"),
        rain_chance_pct=told("rain_chance_pct"),
        humidity_pct=told("humidity_pct"),
        sky_pct=told("sky_pct"),
        leaf_wet=air.leaf_wet,
        inversion=air.inversion,
    )


def next_spray_day(outlook: Outlook, row: int, after_h: int) -> int | None:
    """First hour from one on that is known to be workable and dry long enough."""
    good = (outlook.workable[row] == YES) & (outlook.dry[row] == YES)
    ahead = np.nonzero(good[after_h:])[0]
    return int(ahead[0]) + after_h if ahead.size else None


def number(value: float) -> float | None:
    """A plain number, or None where it is not known."""
    return None if np.isnan(value) else round(float(value), 4)


def _numbers(values: Sequence[float] | npt.NDArray[np.float64]) -> tuple[float | None, ...]:
    told = (number(float(one)) for one in values)
    # A zero has a sign, which one that equals it may not have.
    return tuple(_shared(one) if one else one for one in told)


@lru_cache(maxsize=8192)
def _shared(value: float) -> float:
    """The first of equal numbers, so that the strips of a big farm hold each once."""
    return value


def first_start_h(start_utc: datetime, now: datetime) -> int:
    """First whole hour that has not begun yet."""
    return -((start_utc - now) // timedelta(hours=1))
