"""How much a harvest aid works at a temperature, and what a week of it is worth."""

import math

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr

Floats = npt.NDArray[np.float64]

#: Temperature at or below which an hour counts nothing [deg F]. The DD60 base; common practice.
WORKS_ABOVE_F = 60.0

#: Temperature above which more heat adds nothing [deg F]. Judgement.
WORKS_MOST_AT_F = 95.0

#: Warming that doubles the activity [deg F]. Common practice, no printed source.
DOUBLING_F = 10.0

#: Activity that makes a full dose [activity-days]: seven days of mean 70 F, range 26 F, whose
#: 7-day DD60 of 70 is the reference of Gwathmey and Hayes 1996 (S9). Judgement otherwise.
NEED_ACTIVITY_DAYS = 15.7

#: Bend of the warmth curve; a cold week still does half of the work. Judgement.
WARMTH_BEND = 2.0

#: Share of a day's variance around its normal that a whole week has in common: daily lows and highs
#: of Plains cities go on to the next day with a correlation of 0.65 and 0.56 (measured by
#: scripts/fit_season_weather.py), and the mean of seven days that do so with 0.6 keeps 0.42 of a
#: day's variance [1].
WEEK_SHARE_FRAC = 0.42

#: Standard deviations off the normal of a cold, a middling and a warm week, and how likely each
#: is: three-point Gauss-Hermite quadrature of the normal distribution (Abramowitz and Stegun
#: 25.4.46).
WEEKS_SD = (-math.sqrt(3), 0.0, math.sqrt(3))
WEEKS_SHARE = (1 / 6, 2 / 3, 1 / 6)

#: Widest spread of temperature taken seriously [deg F]; more is an error of units. Judgement.
SD_MAX_F = 100.0


def activity(temp_f: npt.ArrayLike) -> Floats:
    """Activity of a harvest aid in an hour, 1 at 60 F and doubling every 10 F [1].

    Parameters
    ----------
    temp_f
        Air temperature of the hour [deg F], any shape.

    Returns
    -------
    float or ndarray
        Activity, 0 at or below 60 F, about 11.3 at and above 95 F; NaN where NaN.

    Notes
    -----
    It jumps from 0 to 1 at 60 F by definition: hours just below 60 F count nothing.
    """
    temps = np.asarray(temp_f, dtype=np.float64)
    doublings = (np.minimum(temps, WORKS_MOST_AT_F) - WORKS_ABOVE_F) / DOUBLING_F
    working: Floats = np.where(temps <= WORKS_ABOVE_F, 0.0, np.exp2(doublings))[()]
    return working


def expected_activity(mean_f: npt.ArrayLike, sd_f: npt.ArrayLike) -> Floats:
    """Mean activity of an hour whose temperature is only known as a normal spread [1].

    Closed form: below the cap the activity is exponential in temperature, so its mean over a
    normal distribution is a normal one shifted by ``rate x sd^2``; above the cap it is constant.

    Parameters
    ----------
    mean_f
        Mean temperature [deg F], broadcast with ``sd_f``.
    sd_f
        Standard deviation of temperature [deg F], 0 to 100.

    Returns
    -------
    float or ndarray
        Expected `activity`; equal to it where ``sd_f`` is 0; NaN where either is NaN.

    Raises
    ------
    ValueError
        Where ``sd_f`` is negative or above 100 F.
    """
    mean, sd = np.broadcast_arrays(
        np.asarray(mean_f, dtype=np.float64), np.asarray(sd_f, dtype=np.float64)
    )
    outside = (sd < 0) | (sd > SD_MAX_F)
    if outside.any():
        raise ValueError(
            f"sd_f: got {sd[outside].flat[0]:g}, wanted 0 to {SD_MAX_F:g}; "
            "give the standard deviation of temperature in deg F"
        )
    rate = math.log(2) / DOUBLING_F
    spread = np.where(sd > 0, sd, 1.0)
    shifted = mean + rate * spread**2
    growth = np.exp(rate * (mean - WORKS_ABOVE_F) + (rate * spread) ** 2 / 2)
    sloping = ndtr((WORKS_MOST_AT_F - shifted) / spread) - ndtr((WORKS_ABOVE_F - shifted) / spread)
    capped = ndtr((mean - WORKS_MOST_AT_F) / spread)
    most = 2 ** ((WORKS_MOST_AT_F - WORKS_ABOVE_F) / DOUBLING_F)
    expected: Floats = np.where(sd == 0, activity(mean), growth * sloping + most * capped)
    known: Floats = np.where(np.isnan(sd), np.nan, expected)[()]
    return known


def activity_by_week(mean_f: npt.ArrayLike, sd_f: npt.ArrayLike) -> Floats:
    """Mean activity of an hour in a cold, a middling and a warm week [1].

    Parameters
    ----------
    mean_f
        Normal temperature [deg F], broadcast with ``sd_f``.
    sd_f
        Standard deviation of temperature around it [deg F], 0 to 100.

    Returns
    -------
    ndarray
        Activity as of `expected_activity`, shape (3, ...): the spread that the days of a week
        share moves the mean, the rest stays a spread. Weighted with `WEEKS_SHARE` the three give
        `expected_activity` again.

    Raises
    ------
    ValueError
        As `expected_activity`.

    Notes
    -----
    Warmth flattens with the dose, so a cold week loses more than a warm one gains: what a week is
    worth is the mean over weeks, less than what the mean week is worth.
    """
    mean, sd = np.broadcast_arrays(np.asarray(mean_f, float), np.asarray(sd_f, float))
    off = np.multiply.outer(np.asarray(WEEKS_SD), sd * math.sqrt(WEEK_SHARE_FRAC))
    return expected_activity(
        mean + off, np.broadcast_to(sd * math.sqrt(1 - WEEK_SHARE_FRAC), off.shape)
    )


def dose(activity_sum_hours: npt.ArrayLike) -> Floats:
    """Dose a spray has worked out of the weather so far, 1 for a full warm week [1].

    Parameters
    ----------
    activity_sum_hours
        Sum of `activity` over the hours since the spray [activity-hours].

    Returns
    -------
    float or ndarray
        Dose; NaN where NaN.
    """
    return np.asarray(activity_sum_hours, dtype=np.float64) / 24 / NEED_ACTIVITY_DAYS


def warmth(dose: npt.ArrayLike) -> Floats:
    """Share of a full effect that a dose gives, 0 to 1 [1].

    ``min(1, (1 - e^(-2x)) / (1 - e^(-2)))``: the first warm days do most of the work.

    Parameters
    ----------
    dose
        Dose as of `dose`, at least 0.

    Returns
    -------
    float or ndarray
        Share from 0 at no dose to 1 at a dose of 1 and more; NaN where NaN.
    """
    doses = np.asarray(dose, dtype=np.float64)
    full = -math.expm1(-WARMTH_BEND)
    share: Floats = np.minimum(1.0, -np.expm1(-WARMTH_BEND * doses) / full)
    return share
