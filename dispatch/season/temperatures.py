"""Highs and lows of simulated seasons, and what forecasts tell of them days ahead.

What comes is what could be told plus an error nobody can tell: the error of the last forecast of
a low is the Student's t of `agronomy.low_errors`, and forecasts made days before miss a growing
part of the rest. Told values are shrunk, so that what comes is spread around them as the error
table says: they are as honest as that table.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr, stdtrit

from agronomy.low_errors import LOW_BIAS_F, LOW_ERROR_DOF, LOW_ERROR_SD_F
from agronomy.season import normal_on
from dispatch.season import assumptions as assumed
from dispatch.season import weather_constants as fitted
from dispatch.season.autoregression import errors_by_issue, remembering

Floats = npt.NDArray[np.float64]

#: Day of year around which the early spread of temperatures becomes the late one, and how many
#: days that takes [days]. Middle of the fit's two halves.
SPREAD_TURNS_DAY, SPREAD_TURNS_IN_DAYS = 288, 30


@dataclass(frozen=True, eq=False)
class Temperatures:
    """Whole degrees F of one season. Shape (days,); told ones (days, leads): issue and days ahead.

    The low of a day is that of its morning. What is told of this very morning has been seen.
    """

    low_f: Floats
    high_f: Floats
    low_told_f: Floats
    high_told_f: Floats


def days_of_year() -> Floats:
    """Day of year of each simulated day."""
    return assumed.FIRST_DAY.timetuple().tm_yday + np.arange(assumed.SEASON_DAYS, dtype=float)


def draw_temperatures(rng: np.random.Generator) -> Temperatures:
    """One season's highs and lows and the forecasts of them."""
    day = days_of_year()
    normal_high, normal_low = (
        normal_on(day, row) for row in (fitted.NORMAL_HIGH_F, fitted.NORMAL_LOW_F)
    )
    low_sd, high_sd = _spread(day, fitted.LOW_SD_F), _spread(day, fitted.HIGH_SD_F)
    low_own = np.sqrt(low_sd**2 - LOW_ERROR_SD_F[0] ** 2)
    high_own = np.sqrt(high_sd**2 - fitted.HIGH_ERROR_SD_F[0] ** 2)
    together = np.minimum(0.95, fitted.LOW_WITH_HIGH * low_sd * high_sd / (low_own * high_own))
    noise = rng.standard_normal((6, day.size))
    lag_low, lag_high = _memories(low_sd, low_own, high_sd, high_own)
    could_low = remembering(noise[0], lag_low)
    could_high = together * could_low + np.sqrt(1 - together**2) * remembering(noise[1], lag_high)
    low = normal_low + low_own * could_low + _last_error_f(noise[2], noise[3])
    high = normal_high + high_own * could_high + fitted.HIGH_ERROR_SD_F[0] * noise[4]
    low, high = np.round(low), np.round(high)
    high = np.maximum(high, low + assumed.LEAST_RANGE_F)
    misses = _misses(rng, day.size)
    low_told = _told(normal_low, low_own * could_low, low_own, misses[0], LOW_ERROR_SD_F)
    high_told = _told(
        normal_high, high_own * could_high, high_own, misses[1], fitted.HIGH_ERROR_SD_F
    )
    low_told = np.round(low_told + np.array(LOW_BIAS_F))
    high_told = np.round(high_told + np.array(fitted.HIGH_BIAS_F))
    low_told[:, 0] = low
    return Temperatures(low, high, low_told, np.maximum(high_told, low_told + 2))


def _spread(day: Floats, early_late: tuple[float, ...]) -> Floats:
    share = (day - SPREAD_TURNS_DAY) / SPREAD_TURNS_IN_DAYS + 0.5
    return np.asarray(np.interp(share, (0.0, 1.0), early_late))


def _memories(
    low_sd: Floats, low_own: Floats, high_sd: Floats, high_own: Floats
) -> tuple[float, float]:
    """Day-to-day correlation of what could be told, so that highs and lows have the fitted one."""
    error_lag = assumed.STAYING_SHARE * assumed.STAYING_LAG_1
    low_var, own_var = np.mean(low_sd**2), np.mean(low_own**2)
    lag_low = (fitted.LOW_LAG_1 * low_var - error_lag * (low_var - own_var)) / own_var
    lag_high = fitted.HIGH_LAG_1 * np.mean(high_sd**2) / np.mean(high_own**2)
    return min(0.95, float(lag_low)), min(0.95, float(lag_high))


def _last_error_f(staying: Floats, fresh: Floats) -> Floats:
    """Low that comes minus the last forecast of it: Student's t, and part of it stays."""
    share = assumed.STAYING_SHARE
    normal = np.sqrt(share) * remembering(staying, assumed.STAYING_LAG_1)
    normal = normal + np.sqrt(1 - share) * fresh
    dof = LOW_ERROR_DOF[0]
    scale = LOW_ERROR_SD_F[0] * np.sqrt((dof - 2) / dof)
    return np.asarray(scale * stdtrit(dof, ndtr(normal)))


def _misses(rng: np.random.Generator, days: int) -> Floats:
    """Normal noise of forecasts, shape (low or high, days, leads): issue and days ahead."""
    leads = assumed.LEADS
    fresh = rng.standard_normal((2, days, days + leads))
    link = assumed.ERROR_HIGH_WITH_LOW
    fresh[1] = link * fresh[0] + np.sqrt(1 - link**2) * fresh[1]
    return errors_by_issue(fresh, leads, 1)


def _told(
    normal: Floats, could: Floats, own_sd: Floats, misses: Floats, error_sd_f: tuple[float, ...]
) -> Floats:
    """What is told of each day ahead, shrunk towards the normal so that it is honest."""
    days, leads = normal.size, assumed.LEADS
    at = np.minimum(np.arange(days)[:, None] + np.arange(leads)[None, :], days - 1)
    variance = own_sd[at] ** 2
    missed = np.maximum(0.0, np.array(error_sd_f[:leads]) ** 2 - error_sd_f[0] ** 2)
    # The error table may be wider than the season's own spread; then climate is all that is told.
    missed = np.minimum(np.broadcast_to(missed, variance.shape), 0.98 * variance)
    kept = 1 - missed / variance
    return np.asarray(normal[at] + kept * could[at] + np.sqrt(missed * kept) * misses)
