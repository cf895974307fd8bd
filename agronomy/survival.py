"""Chance that no freeze of a given depth comes, night by night, from forecast lows and climate."""

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr

Floats = npt.NDArray[np.float64]

_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(21)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()


def chance_alive(
    low_f: npt.ArrayLike,
    error_sd_f: npt.ArrayLike,
    threshold_f: npt.ArrayLike,
    climate_survival: npt.ArrayLike,
    *,
    bias_f: float,
    correlation: float,
    first: npt.ArrayLike,
    trusted_nights: int,
) -> Floats:
    """Chance that no night from the first up to each night is at or below a threshold.

    The low that comes is the forecast low minus the bias plus a normal error. Errors of the
    nights of one issue share one common part, so that nights are not independent; the common
    part is integrated out by Gauss-Hermite quadrature.

    Parameters
    ----------
    low_f
        Forecast lows at the field [F], shape (places, nights), NaN beyond the forecast.
    error_sd_f
        Spread of the error of each night [F], shape (nights,).
    threshold_f
        Temperature at or below which the night counts as a freeze [F], shape (places,).
    climate_survival
        Chance that climate gives a night no first freeze, shape (places, nights).
    bias_f
        Forecast low minus what comes, on average [F].
    correlation
        Correlation of the errors of two nights of one issue, 0 to 1.
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
    margin = (low - bias_f - np.asarray(threshold_f, float)[:, None]) / np.asarray(error_sd_f)
    share = np.sqrt(correlation) * _NODES
    given = ndtr((margin[..., None] - share) / np.sqrt(1 - correlation))
    order = np.arange(low.shape[1])[None, :] - np.asarray(first)[:, None]
    past_trust = (order >= trusted_nights)[..., None]
    given = np.where(past_trust, np.fmin(given, climate[..., None]), given)
    given = np.where(np.isnan(low)[..., None], climate[..., None], given)
    given = np.where((order < 0)[..., None], 1.0, given)
    return np.asarray(np.cumprod(given, axis=1) @ _WEIGHTS)
