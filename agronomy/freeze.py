"""The first freeze a forecast shows."""

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

#: Decimals of a degree that count [deg F]: 32.00001 from a unit conversion is a freeze.
DECIMALS = 3


def first_freeze_hour(temp_f: npt.ArrayLike, threshold_f: float) -> Floats:
    """Index of the first hour at or below a threshold, along the last axis [h].

    Parameters
    ----------
    temp_f
        Hourly temperature [deg F], shape (..., hours).
    threshold_f
        Temperature that counts as a freeze [deg F].

    Returns
    -------
    float or ndarray
        Hour index; NaN where no freeze is seen, which is not "no freeze": hours may be unknown.

    Notes
    -----
    Where unknown hours come before the first known freeze its index is still returned. It is then
    the latest the freeze can come, not the earliest.

    Examples
    --------
    >>> float(first_freeze_hour([40.0, 33.0, 31.0], 32.0))
    2.0
    """
    temps = np.round(np.asarray(temp_f, dtype=np.float64), DECIMALS)
    frozen = temps <= threshold_f
    first: Floats = np.where(frozen.any(axis=-1), frozen.argmax(axis=-1), np.nan)[()]
    return first
