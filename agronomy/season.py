"""What the season usually brings on a date: normal temperatures and the odds of a first freeze."""

from datetime import date

import numpy as np
import numpy.typing as npt
from scipy.special import log_ndtr, ndtr

Floats = npt.NDArray[np.float64]

#: Middle of August to December as days of a 365-day year, where normals are given.
NORMAL_DAYS = (227.0, 258.0, 288.0, 319.0, 349.0)

#: Local solar hour of the day's highest temperature [h]. Common practice, no source.
WARMEST_SOLAR_H = 15.0


#: Days of the year before this one belong to the season of the year before: in February cotton
#: that still stands is past its freezes, not ahead of them.
SEASON_STARTS_DAY = 182


def season_day(day_of_year: npt.ArrayLike) -> Floats:
    """Day counted on from the year the season began in: 2 January is day 367."""
    day = np.asarray(day_of_year, float)
    return np.asarray(np.where(day < SEASON_STARTS_DAY, day + 365, day))


def season_start(day: date) -> date:
    """First day of the season a day belongs to: the last 1 July up to it."""
    july = date(day.year, 7, 1)
    return july if day >= july else date(day.year - 1, 7, 1)


def normal_on(day_of_year: npt.ArrayLike, monthly_f: npt.ArrayLike) -> Floats:
    """Normal temperature on a day of year [F], straight between the middles of months.

    Outside mid-August to mid-December the nearest given month of the season is used.
    """
    return np.asarray(np.interp(season_day(day_of_year), NORMAL_DAYS, np.asarray(monthly_f)))


def normal_hour_f(high_f: npt.ArrayLike, low_f: npt.ArrayLike, solar_hour: npt.ArrayLike) -> Floats:
    """Normal temperature at a local solar hour [F]: a cosine between the day's high and low."""
    high, low = np.asarray(high_f, float), np.asarray(low_f, float)
    phase = 2 * np.pi * (np.asarray(solar_hour, float) - WARMEST_SOLAR_H) / 24
    return np.asarray((high + low) / 2 + (high - low) / 2 * np.cos(phase))


def expected_excess_f(mean_f: npt.ArrayLike, sd_f: npt.ArrayLike, base_f: float = 60.0) -> Floats:
    """Expected amount by which a normally spread temperature exceeds a base [F].

    Mean over a normal distribution of max(0, T - base): sd * pdf(z) + (mean - base) * cdf(z) with
    z = (mean - base) / sd.
    """
    above = np.asarray(mean_f, float) - base_f
    spread = np.asarray(sd_f, float)
    z = above / spread
    return np.asarray(spread * np.exp(-(z**2) / 2) / np.sqrt(2 * np.pi) + above * ndtr(z))


def night_survival(
    day_of_year: npt.ArrayLike,
    mean_day: npt.ArrayLike,
    sd_days: npt.ArrayLike,
    share_frac: npt.ArrayLike = 1.0,
) -> Floats:
    """Chance that the first freeze does not come on a night, given that none came before.

    NOAA's two-part method (S74): the chance of a first freeze by a day is the share of years that
    have one times the normal distribution of its dates in those years.

    Parameters
    ----------
    day_of_year
        Day of year of the morning.
    mean_day, sd_days
        Mean date and spread of the first freeze in years that have one [day of year, days].
    share_frac
        Share of years with a freeze by the end of the season, 0 to 1.
    """
    share = np.asarray(share_frac, float)
    z = (season_day(day_of_year) - np.asarray(mean_day, float)) / np.asarray(sd_days, float)
    step = 1 / np.asarray(sd_days, float)
    return np.asarray(np.exp(_log_none_by(z, share) - _log_none_by(z - step, share)))


def _log_none_by(z: Floats, share_frac: Floats) -> Floats:
    """Log chance of no freeze by a date; in years that all have one, exact far into the tail."""
    with np.errstate(divide="ignore"):
        some_without = np.log1p(-share_frac * ndtr(z))
    return np.asarray(np.where(share_frac < 1, some_without, log_ndtr(-z)))
