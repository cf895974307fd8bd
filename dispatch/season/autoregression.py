"""Series in which each value remembers the one before."""

import numpy as np
import numpy.typing as npt

from dispatch.season import assumptions as assumed

Floats = npt.NDArray[np.float64]


def remembering(noise: npt.ArrayLike, memory: float) -> Floats:
    """Standard normal noise made into a first-order autoregression along the last axis [1].

    Parameters
    ----------
    noise
        Independent standard normal numbers, any shape.
    memory
        Correlation of neighbours, above -1 to below 1.

    Returns
    -------
    ndarray
        Same shape, every value standard normal.
    """
    fresh = np.asarray(noise, float)
    series = np.empty_like(fresh)
    series[..., 0] = fresh[..., 0]
    step = np.sqrt(1 - memory**2)
    for place in range(1, fresh.shape[-1]):
        series[..., place] = memory * series[..., place - 1] + step * fresh[..., place]
    return series


def errors_by_issue(noise: Floats, ahead: int, a_day: int) -> Floats:
    """Noise made into errors of daily forecasts, alike from time to time and issue to issue [1].

    Parameters
    ----------
    noise
        Independent standard normal numbers, shape (..., issues, times), the times as many as the
        last issue looks ahead.
    ahead, a_day
        Times each issue tells of, and times in a day.

    Returns
    -------
    ndarray
        Shape (..., issues, ahead), every value standard normal.
    """
    by_time = remembering(noise, assumed.ERROR_DAY_LAG_1)
    by_issue = remembering(by_time.swapaxes(-1, -2), assumed.ERROR_ISSUE_LAG_1).swapaxes(-1, -2)
    issues = noise.shape[-2]
    at = a_day * np.arange(issues)[:, None] + np.arange(ahead)[None, :]
    told = np.broadcast_to(at, (*noise.shape[:-1], ahead))
    return np.asarray(np.take_along_axis(by_issue, told, axis=-1))
