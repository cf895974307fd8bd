"""Odds counted from the members of an ensemble: of so many likely skies, how many stay mild or dry.

A member that is not wholly known over the hours asked about is not counted, on either side: what
it tells of some of them would weigh freezes more than their absence, or the other way round. The
odds are no more certain than the members: those of one model tend to lie too close together, so
that odds near 0 and 100 are to be taken as somewhat nearer to even.
"""

import numpy as np
import numpy.typing as npt

from agronomy.freeze import DECIMALS
from agronomy.rain_free import span_hours

Floats = npt.NDArray[np.float64]

#: Fewest members, known over all the hours, that odds are counted from; judgement. Of ten members
#: one is ten points, about as coarse as the odds are uncertain.
FEWEST_MEMBERS = 10

#: Days without a freeze that a harvest aid needs [days]. Common practice, no printed source.
FREEZE_FREE_DAYS = 7

#: Least rain that counts [inch]. Smallest measurable amount; common practice.
RAIN_THRESHOLD_IN = 0.01

_LEAST_IN = 1e-6


def no_freeze_chance_pct(
    temp_f: npt.ArrayLike, freeze_f: float, days: int = FREEZE_FREE_DAYS
) -> Floats:
    """Chance that no freeze comes within some days of each start hour [%].

    Parameters
    ----------
    temp_f
        Hourly temperature of each member at the field [F], shape (..., members, hours), NaN
        unknown.
    freeze_f
        Temperature that counts as a freeze [F].
    days
        Days asked about, from the start hour on, itself included [days].

    Returns
    -------
    ndarray
        Shape (..., hours), 0 to 100. NaN where fewer than `FEWEST_MEMBERS` members are wholly
        known over the ``days`` times 24 hours, and so wherever these reach past the end.

    Raises
    ------
    ValueError
        ``days`` is not at least 1, or ``temp_f`` has no axis of members.

    Examples
    --------
    >>> mild, cold = [40.0] * 24, [40.0] * 23 + [31.0]
    >>> float(no_freeze_chance_pct([mild] * 9 + [cold] * 3, 32.0, days=1)[0])
    75.0
    """
    if days < 1:
        raise ValueError(f"days: got {days}, wanted 1 or more")
    temps = _members(temp_f, "temp_f")
    cold = (np.round(temps, DECIMALS) <= freeze_f).astype(np.float64)
    return _share_pct(_sum_ahead(cold, 24 * days) == 0, np.isnan(temps), 24 * days)


def dry_chance_pct(
    rain_in: npt.ArrayLike, needed_h: float, threshold_in: float = RAIN_THRESHOLD_IN
) -> Floats:
    """Chance that the spray hour and the rain-free hours after it stay dry [%].

    Parameters
    ----------
    rain_in
        Rain of each member in each hour [inch], shape (..., members, hours), NaN unknown.
    needed_h
        Rain-free hours the treatment needs [h], rounded up to whole hours and counted after the
        spray hour.
    threshold_in
        Rain over all these hours together that counts as rain [inch]: a drizzle that is little in
        every hour washes all the same.

    Returns
    -------
    ndarray
        Shape (..., hours), 0 to 100. NaN as in `no_freeze_chance_pct`, and throughout where
        ``needed_h`` is NaN.

    Raises
    ------
    ValueError
        ``needed_h`` is negative, or ``rain_in`` has no axis of members.
    """
    rain = _members(rain_in, "rain_in")
    span, entered = span_hours(needed_h)
    if not entered:
        return np.full((*rain.shape[:-2], rain.shape[-1]), np.nan)
    hours = int(span)
    fallen = _sum_ahead(np.nan_to_num(rain, nan=0.0), hours)
    return _share_pct(fallen < threshold_in - _LEAST_IN, np.isnan(rain), hours)


def members_counted(values: npt.ArrayLike, hours: int) -> npt.NDArray[np.int64]:
    """Members that are wholly known over the hours from each start hour on.

    Parameters
    ----------
    values
        Any quantity of each member, shape (..., members, hours), NaN unknown.
    hours
        Hours asked about, from the start hour on, itself included [h].

    Returns
    -------
    ndarray
        Shape (..., hours).
    """
    whole = _whole(np.isnan(_members(values, "values")), hours)
    return np.asarray(whole.sum(axis=-2), dtype=np.int64)


def _members(values: npt.ArrayLike, name: str) -> Floats:
    array = np.asarray(values, dtype=np.float64)
    if array.ndim < 2:
        raise ValueError(f"{name}: got {array.ndim} axes, wanted members and hours at least")
    return array


def _sum_ahead(values: Floats, hours: int) -> Floats:
    """Sum over ``hours`` hours from each hour on, as far as there are any."""
    length = values.shape[-1]
    total = np.zeros((*values.shape[:-1], length + 1))
    np.cumsum(values, axis=-1, out=total[..., 1:])
    start = np.arange(length)
    return np.asarray(total[..., np.minimum(start + hours, length)] - total[..., start])


def _share_pct(fits: npt.NDArray[np.bool_], unknown: npt.NDArray[np.bool_], hours: int) -> Floats:
    """Share of the members that fit among those wholly known over the hours [%]."""
    whole = _whole(unknown, hours)
    known = whole.sum(axis=-2)
    fitting = (whole & fits).sum(axis=-2)
    enough = known >= FEWEST_MEMBERS
    return np.asarray(np.where(enough, 100 * fitting / np.maximum(known, 1), np.nan))


def _whole(unknown: npt.NDArray[np.bool_], hours: int) -> npt.NDArray[np.bool_]:
    """Whether each member is wholly known over the hours from each hour on."""
    length = unknown.shape[-1]
    whole = _sum_ahead(unknown.astype(np.float64), hours) == 0
    return np.asarray(whole & (np.arange(length) + hours <= length))
