"""Hourly temperature, wind and dew point of simulated seasons, and what forecasts tell of them."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from agronomy.moist_air import saturation_pressure_hpa
from dispatch.season import assumptions as assumed
from dispatch.season import weather_constants as fitted
from dispatch.season.autoregression import remembering

Floats = npt.NDArray[np.float64]

_WARMEST = fitted.HOUR_OF_WARMEST


@dataclass(frozen=True, eq=False)
class Air:
    """Wind of one season: ``wind_mph`` (hours,) and, as told, (days, hours ahead).

    ``dew_below_low_f`` (days,) is how far the day's dew point lies below its low.
    """

    wind_mph: Floats
    wind_told_mph: Floats
    dew_below_low_f: Floats


def draw_air(rng: np.random.Generator) -> Air:
    """One season's wind and dew, and the wind told."""
    days, leads = assumed.SEASON_DAYS, assumed.LEADS
    mean = np.tile(_by_hour_of_grid(np.array(fitted.WIND_ROOT_BY_HOUR)), days + leads)
    day = remembering(rng.standard_normal(days + leads), fitted.WIND_DAY_LAG_1)
    hour = remembering(rng.standard_normal(24 * (days + leads)), fitted.WIND_HOUR_LAG_1)
    gusty = fitted.WIND_HOUR_SD * hour
    root = mean + fitted.WIND_DAY_SD * np.repeat(day, 24) + gusty
    skill = np.linspace(*assumed.WIND_SKILL, leads)
    noise = remembering(rng.standard_normal((days, leads)), assumed.ERROR_DAY_LAG_1)
    at = np.arange(days)[:, None] + np.arange(leads)[None, :]
    told_day = skill**2 * day[at] + skill * np.sqrt(1 - skill**2) * noise
    hours = (24 * np.arange(days)[:, None] + np.arange(24 * leads)[None, :]).astype(int)
    told = mean[hours] + fitted.WIND_DAY_SD * np.repeat(told_day, 24, axis=1)
    # Single hours are told for the first day only, and not wholly.
    told[:, :24] += skill[0] ** 2 * gusty[hours[:, :24]]
    middle, spread = fitted.DEW_BELOW_LOW_F
    below = middle + spread * rng.standard_normal(days + leads)
    return Air(_wind(root[: 24 * days]), _wind(told), below)


def _wind(root: Floats) -> Floats:
    return np.asarray(np.maximum(root, 0.0) ** 2)


def _by_hour_of_grid(from_coldest: Floats) -> Floats:
    """A course of the day that starts at the coldest hour, from the first hour of the grid."""
    return np.asarray(np.roll(from_coldest, assumed.LOW_AT_H))


def hourly_f(low_f: Floats, high_f: Floats, high_before_f: Floats) -> Floats:
    """Temperature of every hour between daily lows and highs [F].

    Parameters
    ----------
    low_f, high_f
        Shape (..., days); the last day's low closes the last night, its high is not used.
    high_before_f
        High of the day before the first, shape (...,).

    Returns
    -------
    ndarray
        Shape (..., 24 x (days - 1) + `LOW_AT_H`), from the first hour of the first day.
    """
    course = np.array(fitted.COURSE_OF_DAY)
    rising, falling = course[:_WARMEST], course[_WARMEST:]
    low, high = low_f[..., :-1, None], high_f[..., :-1, None]
    after = low_f[..., 1:, None]
    day = np.concatenate(
        [low + (high - low) * rising, after + (high - after) * falling], axis=-1
    ).reshape(*low_f.shape[:-1], -1)
    ends = falling[-assumed.LOW_AT_H :]
    first = low_f[..., :1] + (high_before_f[..., None] - low_f[..., :1]) * ends
    return np.concatenate([first, day], axis=-1)


def humidity_pct(temp_f: Floats, dew_f: Floats) -> Floats:
    """Relative humidity at a dew point, at most 100 [%]."""
    vapour = saturation_pressure_hpa(np.minimum(dew_f, temp_f))
    return np.asarray(100 * vapour / saturation_pressure_hpa(temp_f))
