"""Rain of simulated seasons by half days and hours, and the chances that forecasts tell.

Whether a half day is wet is a normal number above a limit; what is told is that number seen
through noise that grows with the days ahead, turned into the chance that follows from it.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr, ndtri
from scipy.stats import multivariate_normal

from dispatch.season import assumptions as assumed
from dispatch.season import weather_constants as fitted
from dispatch.season.autoregression import errors_by_issue, remembering

Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

#: Hours of a half day, the interval chances are told for [h].
HALF_DAY_H = 12


@dataclass(frozen=True, eq=False)
class Rain:
    """Rain of one season in each part of the co-op.

    ``falls`` (zones, hours) by hour, ``chance_pct`` (days, zones, half days ahead) as told.
    """

    falls: Flags
    chance_pct: Floats


def draw_rain(rng: np.random.Generator) -> Rain:
    """One season's rain and the chances told of it."""
    zones, halves = assumed.RAIN_ZONES, 2 * assumed.SEASON_DAYS
    together = assumed.RAIN_ZONES_TOGETHER
    noise = remembering(rng.standard_normal((zones + 1, halves)), _half_day_lag())
    number = np.sqrt(together) * noise[:1] + np.sqrt(1 - together) * noise[1:]
    limit = float(ndtri(1 - assumed.WET_HALF_DAYS))
    wet = number > limit
    return Rain(_hours(rng, wet), 100 * _chances(rng, number, limit))


@cache
def _half_day_lag() -> float:
    """Memory of the number that makes a wet half day follow a wet one as often as fitted."""
    limit = -ndtri(1 - assumed.WET_HALF_DAYS)
    wanted = fitted.WET_AFTER_WET * assumed.WET_HALF_DAYS
    low, high = 0.0, 0.99
    for _ in range(30):
        middle = (low + high) / 2
        both = multivariate_normal.cdf([limit, limit], cov=[[1, middle], [middle, 1]])
        low, high = (middle, high) if both < wanted else (low, middle)
    return float(low)


def _hours(rng: np.random.Generator, wet: Flags) -> Flags:
    """Hours with rain: one run in each wet half day."""
    begins = rng.integers(0, HALF_DAY_H, wet.shape)
    lasts = rng.geometric(1 / fitted.RAIN_HOURS_WET_HALF_DAY, wet.shape)
    # A run longer than what is left of its half day begins earlier instead of being cut.
    lasts = np.minimum(lasts, HALF_DAY_H)
    begins = np.minimum(begins, HALF_DAY_H - lasts)
    hour = np.arange(HALF_DAY_H)
    inside = (hour >= begins[..., None]) & (hour < (begins + lasts)[..., None])
    return np.asarray((inside & wet[..., None]).reshape(wet.shape[0], -1))


def _chances(rng: np.random.Generator, number: Floats, limit: float) -> Floats:
    days, ahead = assumed.SEASON_DAYS, 2 * assumed.LEADS
    zones, halves = number.shape
    noise = errors_by_issue(rng.standard_normal((zones, days, halves + ahead)), ahead, 2)
    at = 2 * np.arange(days)[:, None] + np.arange(ahead)[None, :]
    came = number[:, np.minimum(at, halves - 1)]
    skill = np.linspace(*assumed.RAIN_SKILL, ahead)
    told = skill**2 * came + skill * np.sqrt(1 - skill**2) * noise
    chance = ndtr((told - limit) / np.sqrt(1 - skill**2))
    return np.asarray(chance.swapaxes(0, 1))
