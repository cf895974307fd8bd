"""The further look of each field, from the hours another source tells past the leader's reach."""

from collections.abc import Mapping, Sequence
from datetime import datetime

import numpy as np
import numpy.typing as npt

from agronomy.freeze import first_freeze_hour
from agronomy.hourly_forecast import HourlyForecast
from agronomy.sun import sun_hours
from dispatch.field_rules import FieldRules
from dispatch.figures import first_start_h
from dispatch.forecast_age import forecast_figures
from dispatch.further_figures import FurtherFigures
from dispatch.policy import DispatchPolicy
from farm.field import Field

Floats = npt.NDArray[np.float64]

AGE_NOT_KNOWN = "when its forecast was issued is not known"
TOO_OLD = "its forecast is too old for any number of it to be shown"
NO_FURTHER = "it tells no temperature past the forecast"


def further_figures(
    other: HourlyForecast,
    row_of: Mapping[str, int],
    reach_utc: Mapping[str, datetime],
    registered: Sequence[Field],
    rules: Mapping[str, FieldRules],
    policy: DispatchPolicy,
    now: datetime,
    asked: str,
) -> dict[str, FurtherFigures]:
    """What the other source sees past the reach of the leader, by field.

    Parameters
    ----------
    other
        The other source's forecasts, on a grid as long as it reaches.
    row_of
        Row of each field's cell in it.
    reach_utc
        First hour past what the leader tells of each field.
    registered, rules, policy
        The fields, the lines of each, and how old a forecast may be.
    now
        The moment of the morning, aware.
    asked
        The other source's name, for fields it tells nothing of.

    Returns
    -------
    dict
        Complete: ``problem`` says why nothing is known of a field.
    """
    if not registered:
        return {}
    rows = np.array([row_of[one.id] for one in registered], dtype=np.int64)
    temp_f = other.temp_f[rows] - colder_by_f(registered, other.start_utc, other.hours)
    told = {}
    for at, one in enumerate(registered):
        row = int(rows[at])
        age = forecast_figures(other, row, now, policy)
        known = FurtherFigures(
            source=age.source or asked, issued_utc=age.issued_utc, age_mark=age.age_mark
        )
        first = max(0, first_start_h(other.start_utc, reach_utc[one.id]))
        if not age.source:
            problem = age.problem or NO_FURTHER
        elif age.age_mark in _NOT_SHOWN:
            problem = _NOT_SHOWN[age.age_mark]
        elif np.isnan(temp_f[at, first:]).all():
            problem = NO_FURTHER
        else:
            told[one.id] = known.model_copy(
                update=_seen(other, row, temp_f[at], first, rules[one.id])
            )
            continue
        told[one.id] = known.model_copy(update={"problem": problem})
    return told


_NOT_SHOWN = {"none": AGE_NOT_KNOWN, "very_old": TOO_OLD}


def colder_by_f(registered: Sequence[Field], start_utc: datetime, hours: int) -> Floats:
    """How much colder than its cell each field is in each hour [F], shape (fields, hours).

    A field's cold spot counts in hours that are not wholly in daylight, as in the nights that
    calls are judged by.
    """
    sun = sun_hours(
        np.array([one.latitude for one in registered]),
        np.array([one.longitude for one in registered]),
        start_utc,
        hours,
    )
    cold = np.array([[one.cold_spot_f] for one in registered])
    return np.where(sun.daylight == 1, 0.0, cold)


def leader_reach_h(forecast: HourlyForecast, row: int) -> int:
    """First hour past the last of which a row tells any temperature, 0 where it tells none."""
    told = ~np.isnan(forecast.temp_f[row]) | ~np.isnan(forecast.window_low_f[row])
    return int(np.nonzero(told)[0][-1]) + 1 if told.any() else 0


def _seen(
    other: HourlyForecast, row: int, temp_f: Floats, first: int, rules: FieldRules
) -> dict[str, object]:
    ahead = temp_f.copy()
    ahead[:first] = np.nan
    coldest = int(np.nanargmin(ahead))
    through = first + _unbroken(~np.isnan(temp_f[first:]))
    return {
        "from_utc": other.hour_utc(first),
        "through_utc": other.hour_utc(through),
        "low_f": round(float(ahead[coldest]), 1),
        "low_utc": other.hour_utc(coldest),
        "first_utc": _first_at_or_below(other, ahead, rules.gates.freeze_f),
        "killing_utc": _first_at_or_below(other, ahead, rules.gates.killing_f),
        "rain_in": _rain_in(np.asarray(other.rain_in[row, first:through], dtype=float)),
    }


def _first_at_or_below(other: HourlyForecast, ahead_f: Floats, line_f: float) -> datetime | None:
    hour = first_freeze_hour(ahead_f, line_f)
    return None if np.isnan(hour) else other.hour_utc(int(hour))


def _rain_in(rain_in: Floats) -> float | None:
    """The total; of totals told for the hour before, the last hour's is never known."""
    known = rain_in[:-1] if rain_in.size and np.isnan(rain_in[-1]) else rain_in
    return round(float(known.sum()), 2) if known.size and not np.isnan(known).any() else None


def _unbroken(known: npt.NDArray[np.bool_]) -> int:
    return int(np.logical_and.accumulate(known).sum())
