"""A day's temperature curve drawn through its extremes, and its height above a threshold."""

from typing import Protocol

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


class Curve(Protocol):
    """Mean height of a day's temperature curve above a threshold [deg F]."""

    def __call__(self, max_f: Floats, min_f: Floats, threshold_f: float) -> Floats: ...


def day_extremes(max_f: npt.ArrayLike, min_f: npt.ArrayLike) -> tuple[Floats, Floats]:
    """Extremes of days as arrays of one shape; a maximum below its minimum is refused by name."""
    high, low = np.broadcast_arrays(
        np.asarray(max_f, dtype=np.float64), np.asarray(min_f, dtype=np.float64)
    )
    crossed = high < low
    if crossed.any():
        first = np.unravel_index(int(np.argmax(crossed)), crossed.shape)
        where = f"[{', '.join(str(int(i)) for i in first)}]" if first else ""
        raise ValueError(
            f"max_f{where}: got {high[first]:g} with a minimum of {low[first]:g}, "
            "wanted a maximum at or above the minimum; check for swapped columns or mixed units"
        )
    return high, low


def sine_above(max_f: Floats, min_f: Floats, threshold_f: float) -> Floats:
    """Mean height above a threshold of one sine wave between two extremes [deg F].

    The closed form of Baskerville and Emin [1]_.

    Parameters
    ----------
    max_f, min_f
        Extremes of the wave [deg F], same shape, ``max_f >= min_f``.
    threshold_f
        Threshold [deg F].

    Returns
    -------
    ndarray
        Mean height [deg F], at least 0; NaN where an extreme is NaN.

    References
    ----------
    .. [1] Baskerville and Emin, 1969, Ecology 50:514-517, as given by Zalom et al., 1983,
       University of California Leaflet 21373.
    """
    middle = (max_f + min_f) / 2 - threshold_f
    half_range = (max_f - min_f) / 2
    crosses = (min_f < threshold_f) & (threshold_f < max_f)
    ratio = np.divide(-middle, half_range, out=np.zeros_like(middle), where=crosses)
    angle = np.arcsin(ratio)
    between = (middle * (np.pi / 2 - angle) + half_range * np.cos(angle)) / np.pi
    return np.where(crosses, between, np.maximum(middle, 0.0))


def triangle_above(max_f: Floats, min_f: Floats, threshold_f: float) -> Floats:
    """Mean height above a threshold of straight lines between two extremes [deg F].

    Parameters and returns as in `sine_above`; the triangle method of Zalom et al., 1983,
    University of California Leaflet 21373.
    """
    middle = (max_f + min_f) / 2 - threshold_f
    crosses = (min_f < threshold_f) & (threshold_f < max_f)
    double_range = np.where(crosses, 2 * (max_f - min_f), 1.0)
    between = (max_f - threshold_f) ** 2 / double_range
    return np.where(crosses, between, np.maximum(middle, 0.0))
