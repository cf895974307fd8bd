"""All hours a field's forecast reaches, kept with its call so that they can be drawn later."""

from datetime import timedelta

import numpy as np
import numpy.typing as npt

from agronomy.three_valued import NO, Gate
from agronomy.thresholds import SprayGates
from dispatch.decide import Verdict, span_hours
from dispatch.effect import EffectCurve
from dispatch.outlook import Outlook
from dispatch.report import Call, SeasonNight, SeasonStrip, SprayHour

Floats = npt.NDArray[np.float64]

_LETTERS = np.array(["n", "y", "?"])

#: Tenths from here on up that every strip shares, so that the strips of a big farm hold each
#: number once. They span what temperatures, winds, chances and effects can be [0.1].
_LOWEST, _HIGHEST = -1000, 3000
_SHARED = np.array([tenth / 10 for tenth in range(_LOWEST, _HIGHEST + 1)], dtype=object)


def season_strip(
    verdict: Verdict,
    outlook: Outlook,
    curve: EffectCurve,
    row: int,
    first_h: int,
    gates: SprayGates,
) -> SeasonStrip | None:
    """The hours from the first start hour to the last that anything is told of.

    Parameters
    ----------
    verdict
        The field's call; while it is not known no hour is told as one to spray in.
    outlook, curve, row
        Gates and effect of every field, and the row of this one.
    first_h
        First start hour.
    gates
        Limits of the field.

    Returns
    -------
    SeasonStrip or None
        None where no hour and no night is told.
    """
    end_h = _end_h(outlook, row, first_h)
    if end_h <= first_h:
        return None
    hours = slice(first_h, end_h)
    known = verdict.call is not Call.UNKNOWN
    effect = curve.effect_pct[row, hours] if known else np.full(end_h - first_h, np.nan)
    return SeasonStrip(
        start_utc=outlook.forecast.hour_utc(first_h),
        temp_f=tenths(outlook.hourly["temp_f"][row, hours]),
        wind_mph=tenths(outlook.hourly["wind_mph"][row, hours]),
        rain_chance_pct=tenths(outlook.hourly["rain_chance_pct"][row, hours]),
        workable=_letters(outlook.workable[row, hours]),
        dry=_letters(outlook.dry[row, hours]),
        free=_letters(outlook.freeze.gate[row, hours]),
        spray=_spray(outlook, row, first_h, end_h, gates.nights_seen_min, known=known),
        effect_pct=tenths(effect),
        climate_from_utc=outlook.forecast.hour_utc(int(curve.on_forecast_h[row])),
        nights=_nights(outlook, curve, row, end_h),
        freeze_f=gates.freeze_f,
        killing_f=gates.killing_f,
        freeze_free_days=gates.freeze_free_days,
        wind_min_mph=gates.wind_min_mph,
        wind_max_mph=gates.wind_max_mph,
        rain_chance_max_pct=gates.rain_chance_max_pct,
    )


def tenths(values: Floats) -> tuple[float | None, ...]:
    """Values to one decimal, None where they are not known."""
    rounded = np.asarray(values, dtype=float).round(1) + 0.0
    tenth = np.rint(np.nan_to_num(rounded * 10, posinf=0.0, neginf=0.0)).astype(np.int64)
    told = _SHARED[np.clip(tenth - _LOWEST, 0, _SHARED.size - 1)]
    told = np.where(told == rounded, told, rounded.astype(object))
    told[np.isnan(rounded)] = None
    return tuple(told.tolist())


def _end_h(outlook: Outlook, row: int, first_h: int) -> int:
    """First hour past everything that is told: hours, and the lows of night windows."""
    told = [outlook.hourly[name][row] for name in ("temp_f", "wind_mph", "rain_chance_pct")]
    known = np.nonzero(~np.isnan(np.stack(told)).all(axis=0))[0]
    with_low = np.nonzero(~np.isnan(_lows(outlook, row)))[0]
    ends = [*known[-1:] + 1, *outlook.nights.end_h[row, with_low[-1:]]]
    return min(max([first_h, *map(int, ends)]), int(outlook.workable.shape[1]))


def _lows(outlook: Outlook, row: int) -> Floats:
    """Lows of the nights whose own low or sunrise hour is known: an evening alone tells none."""
    nights = outlook.nights
    dawn_h = nights.end_h[row] - 2
    hourly = outlook.hourly["temp_f"][row]
    at_dawn = hourly[np.minimum(dawn_h, hourly.size - 1)]
    told = ~np.isnan(nights.issued_low_f[row]) | ((dawn_h < hourly.size) & ~np.isnan(at_dawn))
    return np.where(told, nights.low_f[row], np.nan)


def _letters(gate: Gate) -> str:
    return "".join(_LETTERS[gate].tolist())


def _spray(
    outlook: Outlook, row: int, first_h: int, end_h: int, nights_seen_min: int, *, known: bool
) -> tuple[SprayHour, ...]:
    """Spray hours past the decision span too, by the rule that makes the call."""
    span = span_hours(outlook, row, first_h, end_h - first_h, nights_seen_min)
    full, partial = set(span.full.tolist()), set(span.partial.tolist())

    def state(hour: int) -> SprayHour:
        if outlook.workable[row, hour] == NO:
            return "no"
        if not known:
            return "unknown"
        return "full" if hour in full else "partial" if hour in partial else "unknown"

    return tuple(state(hour) for hour in range(first_h, end_h))


def _nights(outlook: Outlook, curve: EffectCurve, row: int, end_h: int) -> tuple[SeasonNight, ...]:
    """Nights that can still catch a spray and end within the hours told."""
    nights, lows = outlook.nights, tenths(_lows(outlook, row))
    told = []
    for night in range(int(nights.first[row]), nights.end_h.shape[1]):
        # A night without a sunrise here is one that only a field farther east or west sees.
        dawn_h = int(outlook.sun.dawn_h[row, night])
        if not 0 <= dawn_h < end_h:
            break
        told.append(
            SeasonNight(
                low_utc=outlook.forecast.start_utc + timedelta(hours=dawn_h),
                low_f=lows[night],
                freeze_pct=_of_this_night(curve.alive_freeze[row], night),
                killing_pct=_of_this_night(curve.alive_killing[row], night),
            )
        )
    return tuple(told)


def _of_this_night(alive: Floats, night: int) -> float:
    """Chance of the freeze on a night, given none before it [%]."""
    before = float(alive[night - 1]) if night else 1.0
    return 100.0 if before <= 0 else round(100 * (1 - float(alive[night]) / before), 1)
