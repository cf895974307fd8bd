"""Series in which each value remembers the one before."""

import numpy as np
import numpy.typing as npt

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
