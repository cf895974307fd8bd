"""Odds of rain over the hours a treatment needs, from chances told for whole intervals.

A provider tells one chance for an interval of several hours: that a measurable amount falls
somewhere in it. From that follows

- not when in the interval the rain would fall: hours that touch only part of it may miss it;
- not whether the intervals are one storm or several: their chances lie between wholly dependent
  (the highest of them) and independent (one less the product of what is left);
- not whether intervals of one equal chance were merged: a chance told for a day is that of its
  half days, repeated, and not that of the day.

How much may fall is told apart from it: see `agronomy.rain_amount`.
"""

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from agronomy.rain_free import span_hours

Floats = npt.NDArray[np.float64]

#: Longest interval that counts as one throw [h]: public chances are made for 6 or 12 hours, and a
#: longer interval is several of them merged (API notes of the US National Weather Service).
THROW_HOURS = 12


class RainOdds(NamedTuple):
    """Bounds of the chance of rain from each start hour [%], 0 to 100, NaN not known."""

    low: Floats
    high: Floats


def rain_chance_bounds_pct(
    rain_chance_pct: npt.ArrayLike,
    rain_chance_from_h: npt.ArrayLike,
    needed_h: npt.ArrayLike,
    unknown_pct: float = np.nan,
) -> RainOdds:
    """Bounds of the chance of rain in the spray hour and the rain-free hours after it [%].

    ``low`` is the highest chance of the intervals touched. ``high`` is one less the product of
    what each of them leaves, as if they were independent; an interval touched for more than
    `THROW_HOURS` counts as one throw for each of them, begun ones included.

    Parameters
    ----------
    rain_chance_pct
        Chance of rain in the provider's interval around each hour [%], shape (places, hours).
    rain_chance_from_h
        First hour of that interval [h], same shape; hours that share it share one chance. An
        hour without it belongs to the interval before, and its chance is not known.
    needed_h
        Rain-free hours the treatment needs [h], scalar or shape (places, 1); rounded up to whole
        hours, counted after the spray hour.
    unknown_pct
        What an hour that is not known, or lies past the end, counts as [%].

    Returns
    -------
    RainOdds
        Shape (places, hours). NaN where an hour touched is not known, unless ``unknown_pct``
        says otherwise, and where ``needed_h`` is NaN.

    Raises
    ------
    ValueError
        Where ``needed_h`` is negative.

    Notes
    -----
    They bound the chance for the intervals touched, whole. Where the hours needed touch only
    part of an interval the true chance may lie under ``low``; where intervals of 6 hours were
    merged into one of 12 it may lie over ``high``. Neither bound falls when a chance rises, nor
    rises when a chance is lost and counts as none.

    Examples
    --------
    >>> odds = rain_chance_bounds_pct([[20, 20, 50, 50]], [[0, 0, 2, 2]], 2)
    >>> odds.low[0, :2].tolist(), odds.high[0, :2].round(9).tolist()
    ([50.0, 50.0], [60.0, 60.0])
    """
    named = np.atleast_2d(np.asarray(rain_chance_from_h, dtype=np.float64))
    chance = np.atleast_2d(np.asarray(rain_chance_pct, dtype=np.float64))
    named, chance = np.broadcast_arrays(named, chance)
    told = np.where(np.isnan(chance) | np.isnan(named), unknown_pct, np.clip(chance, 0, 100))
    interval = interval_of(named)
    span, entered = span_hours(needed_h)
    places = np.broadcast_to(np.atleast_2d(np.where(entered, span, 0)), (len(told), 1))[:, 0]
    low, high = np.full(told.shape, np.nan), np.full(told.shape, np.nan)
    for hours in np.unique(places[places > 0]):
        mine = places == hours
        low[mine], high[mine] = _odds(told[mine], interval[mine], int(hours), unknown_pct)
    return RainOdds(low, high)


def washing_chance_pct(
    rain_chance_pct: npt.ArrayLike,
    rain_chance_from_h: npt.ArrayLike,
    needed_h: npt.ArrayLike,
    unknown_pct: float = np.nan,
) -> Floats:
    """Chance of washing rain that the effect counts with [%]: midway between its bounds.

    Parameters, NaN and errors as in `rain_chance_bounds_pct`.

    Notes
    -----
    Judgement. Intervals of one front rain together, which pulls the chance towards the lower
    bound; storms of their own, and short intervals merged into long ones, push it towards the
    upper. The share of an interval that is touched is left out on purpose: it needs the length
    of the interval, and a hole in the forecast would shorten that and make rain look likelier,
    so that losing data could speak against waiting.
    """
    low, high = rain_chance_bounds_pct(rain_chance_pct, rain_chance_from_h, needed_h, unknown_pct)
    return np.asarray((low + high) / 2)


def _odds(told: Floats, interval: Floats, hours: int, beyond_pct: float) -> tuple[Floats, Floats]:
    """Bounds for one length of window, walked hour by hour for all start hours at once."""
    length = told.shape[1]
    told = np.pad(told, ((0, 0), (0, hours)), constant_values=beyond_pct)
    interval = np.pad(interval, ((0, 0), (0, hours)), mode="edge")
    throw, of, touched_h = told[:, :length], interval[:, :length], np.ones((len(told), length))
    highest, left = throw, np.ones(throw.shape)
    for step in range(1, hours):
        chance, here = told[:, step : step + length], interval[:, step : step + length]
        new = (here != of) | (touched_h >= THROW_HOURS)
        left = np.where(new, left * (1 - throw / 100), left)
        throw = np.where(new, chance, np.maximum(throw, chance))
        touched_h = np.where(new, 1, touched_h + 1)
        highest, of = np.maximum(highest, chance), here
    return highest, np.maximum(highest, 100 * (1 - left * (1 - throw / 100)))


def interval_of(named: Floats) -> Floats:
    """First hour of each hour's interval [h]; where none is told the one before, -1 before any."""
    known = ~np.isnan(named)
    last = np.maximum.accumulate(np.where(known, np.arange(named.shape[1]), -1), axis=1)
    carried = np.take_along_axis(np.where(known, named, 0.0), np.maximum(last, 0), axis=1)
    return np.asarray(np.where(last < 0, -1.0, carried))
