"""Chance that no freeze of a given depth comes, night by night, from forecast lows and climate."""

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr, ndtri, stdtr

Floats = npt.NDArray[np.float64]

_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(21)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()

#: A thermometer read in whole degrees shows the threshold up to half a degree above it [F]. The
#: error table and the freeze records behind climate are read so. Definition of rounding.
READING_HALF_F = 0.5


def chance_alive(
    low_f: npt.ArrayLike,
    error_scale_f: npt.ArrayLike,
    threshold_f: npt.ArrayLike,
    climate_survival: npt.ArrayLike,
    *,
    bias_f: npt.ArrayLike,
    dof: npt.ArrayLike,
    correlation: float,
    first: npt.ArrayLike,
    trusted_nights: int,
) -> Floats:
    """Chance that no night from the first up to each night reads at or below a threshold.

    The low that comes is the forecast low minus the bias plus an error that follows Student's t,
    whose fat tails hold the nights that were forecast badly wrong. Errors of the nights of one
    issue share one common part, so that nights are not independent: each night's odds are put on
    the normal scale (a normal copula of equal correlations with t margins) and the common part
    is integrated out by Gauss-Hermite quadrature.

    Parameters
    ----------
    low_f
        Forecast lows at the field [F], shape (places, nights), NaN beyond the forecast.
    error_scale_f
        Scale of the t error of each night [F], shape (nights,).
    threshold_f
        Temperature at or below which the night counts as a freeze [F], shape (places,).
    climate_survival
        Chance that climate gives a night no first freeze, shape (places, nights).
    bias_f
        Forecast low minus what comes, in the middle [F], one number or shape (nights,).
    dof
        Degrees of freedom of the t error, one number or shape (nights,).
    correlation
        Correlation of two nights' errors of one issue on the normal scale, 0 to below 1.
    first
        First night that counts, shape (places,); earlier ones are left out.
    trusted_nights
        Nights, from the first, in which the forecast alone speaks. Past them a forecast may
        lower the odds that climate gives, never raise them.

    Returns
    -------
    ndarray
        Shape (places, nights), falling along the nights. Unknown lows take the climate's odds.
    """
    low = np.asarray(low_f, float)
    climate = np.asarray(climate_survival, float)
    line = np.asarray(threshold_f, float)[:, None] + READING_HALF_F
    margin = ndtri(stdtr(dof, (low - bias_f - line) / np.asarray(error_scale_f, float)))
    share = np.sqrt(correlation) * _NODES
    given = ndtr((margin[..., None] - share) / np.sqrt(1 - correlation))
    order = np.arange(low.shape[1])[None, :] - np.asarray(first)[:, None]
    past_trust = (order >= trusted_nights)[..., None]
    given = np.where(past_trust, np.fmin(given, climate[..., None]), given)
    given = np.where(np.isnan(low)[..., None], climate[..., None], given)
    given = np.where((order < 0)[..., None], 1.0, given)
    return np.asarray(np.cumprod(given, axis=1) @ _WEIGHTS)
