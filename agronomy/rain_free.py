"""How long it stays dry after a start hour, and whether that is long enough for a treatment."""

import numpy as np
import numpy.typing as npt

from agronomy.three_valued import NO, UNKNOWN, YES, Gate
from agronomy.wet_hours import Flags, Indices, next_index, next_wet_and_unknown, reaches

Floats = npt.NDArray[np.float64]

#: A dry spell ends in a wet hour.
ENDS_WET = np.int8(1)
#: A dry spell ends in an hour that is not known.
ENDS_UNKNOWN = np.int8(-1)
#: A dry spell lasts as far as the forecast sees.
ENDS_SIGHT = np.int8(0)


def rain_free_hours(rain_in: npt.ArrayLike, start_h: npt.ArrayLike, threshold_in: float) -> Floats:
    """Hours from the start of an hour to the first hour with rain [h].

    Parameters
    ----------
    rain_in
        Rain falling in each hour [inch], shape (..., hours).
    start_h
        Index of the hour to count from, integer, broadcast over the leading axes of ``rain_in``.
    threshold_in
        Rain in an hour that counts as rain [inch].

    Returns
    -------
    float or ndarray
        Whole hours, 0 when the start hour itself is wet; the hours left where no rain is seen,
        which is only how far the forecast reaches; NaN where an unknown hour comes before any
        rain.

    Raises
    ------
    ValueError
        Where ``start_h`` lies outside the series.

    Examples
    --------
    >>> float(rain_free_hours([0.0, 0.0, 0.2, 0.0], 0, 0.01))
    2.0
    """
    rain = np.asarray(rain_in, dtype=np.float64)
    length = rain.shape[-1]
    start = _start_index(start_h, length)
    next_wet = next_index(reaches(rain, threshold_in))
    next_unknown = next_index(np.isnan(rain))
    lead = np.broadcast_shapes(rain.shape[:-1], start.shape)
    at = np.broadcast_to(start, lead)[..., np.newaxis]
    wet = np.take_along_axis(np.broadcast_to(next_wet, (*lead, length)), at, axis=-1)
    unknown = np.take_along_axis(np.broadcast_to(next_unknown, (*lead, length)), at, axis=-1)
    hours: Floats = np.where(unknown < wet, np.nan, wet - at)[..., 0][()]
    return hours


def dry_spell(
    rain_in: npt.ArrayLike,
    rain_chance_pct: npt.ArrayLike,
    threshold_in: npt.ArrayLike,
    chance_max_pct: npt.ArrayLike,
) -> tuple[Floats, Gate]:
    """How long it stays dry from every start hour, and what ends it.

    An hour is wet when its rain reaches ``threshold_in`` or its chance reaches
    ``chance_max_pct``, and unknown when either is NaN and the other does not make it wet.

    Parameters
    ----------
    rain_in
        Rain falling in each hour [inch], shape (..., hours).
    rain_chance_pct
        Chance of rain around each hour [%], same shape.
    threshold_in
        Rain in an hour that counts as rain [inch].
    chance_max_pct
        Chance at or above which an hour does not count as dry [%].

    Returns
    -------
    dry_h : ndarray
        Dry hours from the start of each hour [h], same shape, never NaN.
    end : ndarray of int8
        `ENDS_WET`, `ENDS_UNKNOWN`, or `ENDS_SIGHT` where the forecast ends first.
    """
    next_wet, next_unknown = next_wet_and_unknown(
        rain_in, rain_chance_pct, threshold_in, chance_max_pct
    )
    first = np.minimum(next_wet, next_unknown)
    length = first.shape[-1]
    end = np.where(next_wet < next_unknown, ENDS_WET, ENDS_UNKNOWN)
    end = np.where(first == length, ENDS_SIGHT, end)
    return (first - np.arange(length)).astype(np.float64), end.astype(np.int8)


def dry_gate(
    rain_in: npt.ArrayLike,
    rain_chance_pct: npt.ArrayLike,
    needed_h: npt.ArrayLike,
    threshold_in: npt.ArrayLike,
    chance_max_pct: npt.ArrayLike,
) -> Gate:
    """Whether the spray hour and the rain-free hours after it stay dry, for every start hour.

    Parameters
    ----------
    rain_in, rain_chance_pct, threshold_in, chance_max_pct
        As in `dry_spell`.
    needed_h
        Rain-free hours the treatment needs [h], scalar or shape (cells, 1); rounded up to whole
        hours, counted after the spray hour.

    Returns
    -------
    ndarray of int8
        No if any hour of the span is known to be wet, else unknown if any is unknown, lies past
        the end, or ``needed_h`` is NaN, else yes.

    Raises
    ------
    ValueError
        Where ``needed_h`` is negative.
    """
    next_wet, next_unknown = next_wet_and_unknown(
        rain_in, rain_chance_pct, threshold_in, chance_max_pct
    )
    length = next_wet.shape[-1]
    span, entered = span_hours(needed_h)
    last = np.arange(length) + span
    # No unknown hour stands at the length, so that a span past the end is never seen.
    seen = (next_unknown >= last) & entered
    wet = next_wet < np.minimum(last, length)
    verdict = np.where(wet, NO, np.where(seen, YES, UNKNOWN))
    return np.asarray(verdict, dtype=np.int8)


def span_hours(needed_h: npt.ArrayLike) -> tuple[Indices, Flags]:
    """Spray hour plus whole rain-free hours [h], and where they were entered at all.

    Raises
    ------
    ValueError
        Where ``needed_h`` is negative.
    """
    needed = np.asarray(needed_h, dtype=np.float64)
    if (needed < 0).any():
        raise ValueError(
            f"needed_h: got {np.nanmin(needed):g}, wanted 0 or more rain-free hours; "
            "enter them from the label"
        )
    entered = ~np.isnan(needed)
    return 1 + np.ceil(np.where(entered, needed, 0.0)).astype(np.int64), entered


def _start_index(start_h: npt.ArrayLike, length: int) -> Indices:
    given = np.asarray(start_h)
    if not np.issubdtype(given.dtype, np.integer):
        raise ValueError(f"start_h: got {given.dtype} values, wanted whole hours; give an index")
    start = given.astype(np.int64)
    outside = (start < 0) | (start >= length)
    if outside.any():
        raise ValueError(
            f"start_h: got {start[outside].flat[0]}, wanted 0 to {length - 1}; "
            "count from the first hour of the series"
        )
    return start
