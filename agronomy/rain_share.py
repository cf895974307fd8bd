"""Rain as it counts against a gate, where a forecast gives totals of several hours."""

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

#: Longest interval that public forecasts give rain totals for [h]. A total shared out over it
#: leaves each hour with less than falls when it rains.
TOTAL_HOURS = 6

_LEAST_IN = 1e-6


def counted_rain_in(rain_in: npt.ArrayLike, threshold_in: npt.ArrayLike) -> Floats:
    """Hourly rain with the shares of a total that counts raised to what counts [inch].

    A total of 0.05 inch over six hours is 0.008 inch in each, which would pass for dry beside a
    threshold of 0.01. An hour with some rain therefore counts as a wet one when the six hours
    around it, taken in any way that holds it, bring the threshold together.

    Parameters
    ----------
    rain_in
        Rain of each hour [inch], shape (places, hours), NaN unknown.
    threshold_in
        Rain that counts [inch], shape (places, 1) or a number.

    Returns
    -------
    ndarray
        Same shape. An hour with a little rain beside an unknown hour, which may or may not add
        up to the threshold, is NaN.
    """
    rain = np.asarray(rain_in, dtype=float)
    line = np.asarray(threshold_in, dtype=float)
    together = _most_together(np.nan_to_num(rain, nan=0.0))
    unsure = _most_together(np.isnan(rain).astype(float)) > 0
    little = (rain > _LEAST_IN) & (rain < line)
    counts = little & (together >= line - _LEAST_IN)
    return np.asarray(
        np.where(counts, np.broadcast_to(line, rain.shape), np.where(little & unsure, np.nan, rain))
    )


def _most_together(values: Floats) -> Floats:
    """Largest sum of `TOTAL_HOURS` hours in a row that hold each hour."""
    edge = TOTAL_HOURS - 1
    padded = np.pad(values, ((0, 0), (edge, edge)))
    sums = np.lib.stride_tricks.sliding_window_view(padded, TOTAL_HOURS, axis=1).sum(axis=2)
    return np.asarray(
        np.lib.stride_tricks.sliding_window_view(sums, TOTAL_HOURS, axis=1).max(axis=2)
    )
