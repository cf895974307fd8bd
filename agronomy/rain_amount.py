"""Chance that as much rain falls as washes a treatment off, from chances and expected amounts.

A provider tells the chance of a measurable amount and the amount to be expected. Where the amount
that washes is larger than a measurable one, its chance is smaller than the chance told: amounts
are spread about their mean like an exponential distribution, in an interval with rain.

The amount told can be read in two ways, so that the chance has bounds: as the mean of all that
may come, dry included (it is then divided by the chance, which is the provider's own practice),
or as what falls if it rains. An amount below a measurable one beside a chance tells nothing of
how much: providers leave small amounts out.
"""

import numpy as np
import numpy.typing as npt

from agronomy.rain_free import span_hours
from agronomy.rain_odds import THROW_HOURS, RainOdds, interval_of
from agronomy.wet_hours import next_index, reaches

Floats = npt.NDArray[np.float64]
Indices = npt.NDArray[np.int64]

#: Least rain that a chance of rain speaks of [inch]. A measurable amount (S80).
MEASURABLE_IN = 0.01

#: Most that half a day with rain brings on average [inch]. Judgement: an expected amount needs at
#: least the chance that makes this its mean; a printed six hours of heavy rain has 1.2 (S80b).
WET_MEAN_MAX_IN = 2.0


def amount_chance_pct(
    any_rain_pct: npt.ArrayLike, expected_in: npt.ArrayLike, amount_in: npt.ArrayLike
) -> Floats:
    """Chance of at least an amount of rain, from the chance of any and the mean expected [%].

    Parameters
    ----------
    any_rain_pct
        Chance of a measurable amount [%], 0 to 100.
    expected_in
        Mean of what may fall, dry included [inch].
    amount_in
        Amount asked for [inch]; `MEASURABLE_IN` and less is any rain.

    Returns
    -------
    float or ndarray
        Chance [%], broadcast, never above ``any_rain_pct``; NaN where an input is NaN.

    Notes
    -----
    ``p exp(-(x - 0.01) / m)`` with the mean of a wet interval ``m = expected / p``. Printed is
    ``p exp(-x / m)``; counting from the measurable amount on makes its chance the one told, and
    errs towards rain.

    References
    ----------
    US National Weather Service, Tulsa: probabilistic quantitative precipitation forecasting (S80).

    Examples
    --------
    >>> round(float(amount_chance_pct(40.0, 0.1, 0.26)), 2)
    14.72
    """
    chance, mean, amount = np.broadcast_arrays(
        *(np.asarray(one, dtype=np.float64) for one in (any_rain_pct, expected_in, amount_in))
    )
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        share = _share_reaching(amount, 100 * mean / chance)
    # No chance of any rain is none of more, whatever the amount.
    share = np.where(chance == 0, 0.0, share)
    unknown = np.isnan(chance) | np.isnan(mean) | np.isnan(amount)
    return np.asarray(np.where(unknown, np.nan, chance * share))[()]


def washing_bounds_pct(
    any_rain: RainOdds,
    rain_in: npt.ArrayLike,
    rain_chance_from_h: npt.ArrayLike,
    needed_h: npt.ArrayLike,
    washing_in: npt.ArrayLike,
) -> RainOdds:
    """Bounds of the chance of washing rain in the spray hour and the rain-free hours after it [%].

    Parameters
    ----------
    any_rain
        Bounds of the chance of a measurable amount over those hours [%], shape (places, hours).
    rain_in
        Rain expected in each hour [inch], same shape.
    rain_chance_from_h
        First hour of the interval its chance is told for [h], same shape.
    needed_h
        Rain-free hours the treatment needs [h], scalar or shape (places, 1).
    washing_in
        Rain that washes [inch], a number or shape (places, 1).

    Returns
    -------
    RainOdds
        Shape (places, hours), NaN where ``any_rain`` is. A chance is never told smaller than the
        amount expected asks for (`least_chance_pct`).

        Where no more than a measurable amount washes these are the bounds of any rain. Else

        - ``low`` reads the amount expected in the hours needed as what falls if it rains, with
          the lower chance; 0 where that amount is not known;
        - ``high`` reads the amount of the whole intervals touched as the mean of all that may
          come, with the chance between the bounds that makes it likeliest; that of any rain
          where the amount is not known or less than measurable. An interval that may have begun
          before the series is taken for half a day of hours like its first.

        So losing amounts widens the bounds and never narrows them.

    Raises
    ------
    ValueError
        Where ``needed_h`` is negative.

    Notes
    -----
    No call and no order rests on amounts lowering a chance: past the reach of the amounts, which
    end days before the chances, the chance would jump. Counted as any rain there, it would make
    the days to come look wetter and a spray better for data that is lost; counted as none, it
    would make every far day dry.
    """
    rain = np.atleast_2d(np.asarray(rain_in, dtype=np.float64))
    washes = np.asarray(washing_in, dtype=np.float64)
    least = least_chance_pct(rain, needed_h)
    low, high = np.maximum(any_rain.low, least), np.maximum(any_rain.high, least)
    begins, ends = _touched(rain_chance_from_h, rain.shape, needed_h)
    start = np.broadcast_to(np.arange(rain.shape[1]), rain.shape)
    within = _sum_between(rain, start, start + _span(needed_h, len(rain)))
    unseen_h = np.maximum(THROW_HOURS - (begins == 0).sum(axis=1, keepdims=True), 0)
    before = np.where(begins == 0, unseen_h * rain[:, :1], 0.0)
    whole = before + _sum_between(rain, begins, ends)
    any_washes = np.broadcast_to(washes <= MEASURABLE_IN, rain.shape)
    if_it_rains = low * _share_reaching(washes, np.nan_to_num(within))
    with np.errstate(divide="ignore", invalid="ignore"):
        likeliest = np.clip(100 * whole / (washes - MEASURABLE_IN), low, high)
    of_all = amount_chance_pct(likeliest, whole, washes)
    speaks = reaches(whole, MEASURABLE_IN) & ~any_washes
    return RainOdds(
        np.where(any_washes, low, if_it_rains),
        np.where(speaks, of_all, high),
    )


def least_chance_pct(rain_in: npt.ArrayLike, needed_h: npt.ArrayLike) -> Floats:
    """Smallest chance of rain that the amount expected in the hours needed can have [%].

    A chance of none, or one not told, beside an amount is not a dry forecast.

    Parameters
    ----------
    rain_in
        Rain expected in each hour [inch], shape (places, hours).
    needed_h
        Rain-free hours the treatment needs [h], scalar or shape (places, 1).

    Returns
    -------
    ndarray
        Shape (places, hours), 0 to 100, never NaN: hours that are not known, or lie past the end,
        count as none, so that losing an amount never makes a chance larger.

    Raises
    ------
    ValueError
        Where ``needed_h`` is negative.

    Notes
    -----
    The amount over `WET_MEAN_MAX_IN` for each begun half day: a mean is a chance times the mean
    of what falls if it rains. Only hours needed count, not the rest of their intervals: what is
    lost elsewhere must not change the chance of a spray hour that is known.
    """
    rain = np.nan_to_num(np.atleast_2d(np.asarray(rain_in, dtype=np.float64)))
    span = _span(needed_h, len(rain))
    start = np.broadcast_to(np.arange(rain.shape[1]), rain.shape)
    expected = _sum_between(rain, start, np.minimum(start + span, rain.shape[1]))
    half_days = -(-span // THROW_HOURS)
    return np.clip(100 * expected / (WET_MEAN_MAX_IN * half_days), 0.0, 100.0)


def _share_reaching(amount_in: Floats, wet_mean_in: Floats) -> Floats:
    """Share of intervals with rain that bring an amount."""
    beyond = np.maximum(amount_in - MEASURABLE_IN, 0.0)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where(beyond > 0, np.exp(-beyond / wet_mean_in), 1.0)


def _span(needed_h: npt.ArrayLike, places: int) -> Indices:
    span, _ = span_hours(needed_h)
    return np.broadcast_to(np.atleast_2d(span), (places, 1))


def _sum_between(rain: Floats, first: Indices, end: Indices) -> Floats:
    """Rain from one hour to before another [inch], NaN if an hour is not known or past the end."""
    length = rain.shape[1]
    sums = []
    for values in (np.nan_to_num(rain), np.isnan(rain).astype(np.float64)):
        running = np.pad(np.cumsum(values, axis=1), ((0, 0), (1, 0)))
        until = np.take_along_axis(running, np.minimum(end, length), axis=1)
        sums.append(until - np.take_along_axis(running, first, axis=1))
    total, unknown = sums
    return np.where((unknown > 0) | (end > length), np.nan, np.maximum(total, 0.0))


def _touched(
    rain_chance_from_h: npt.ArrayLike, shape: tuple[int, ...], needed_h: npt.ArrayLike
) -> tuple[Indices, Indices]:
    """First hour of the first interval touched, and the end of the last [h]."""
    interval = interval_of(np.broadcast_to(np.asarray(rain_chance_from_h, dtype=np.float64), shape))
    index, length = np.arange(shape[1]), shape[1]
    changes = interval[:, 1:] != interval[:, :-1]
    new = np.pad(changes, ((0, 0), (1, 0)), constant_values=True)
    last = np.pad(changes, ((0, 0), (0, 1)), constant_values=True)
    begins = np.maximum.accumulate(np.where(new, index, 0), axis=1)
    until = index + _span(needed_h, shape[0])
    ends = np.take_along_axis(next_index(last), np.minimum(until, length) - 1, axis=1) + 1
    return begins, np.where(until > length, until, ends)
