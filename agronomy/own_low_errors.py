"""The errors a farm's own thermometer found in forecast lows, blended into the default table."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

#: Fewest nights of a lead before this farm's own errors count [nights]. Judgement.
NIGHTS_MIN = 60

#: Nights of its own that weigh as much as the default table [nights]: the weight of n nights is
#: n / (n + 60). Judgement.
NIGHTS_HALF = 60

#: Forecast lows near enough to freezing to count [F], as in the fit of the default table.
NEAR_FREEZING_F = (20.0, 50.0)


@dataclass(frozen=True)
class BlendedLead:
    """Error of forecast lows of one lead day [F]: by default, here, and blended.

    ``nights`` counts different nights, ``pairs`` forecasts beside a low that came; ``here_*``
    are NaN below two pairs. ``weight_frac`` is the share of this farm's own errors in
    ``bias_f`` and ``sd_f``, 0 below `NIGHTS_MIN` nights.
    """

    lead_days: int
    nights: int
    pairs: int
    default_bias_f: float
    default_sd_f: float
    here_bias_f: float
    here_sd_f: float
    weight_frac: float
    bias_f: float
    sd_f: float


def blended_low_errors(
    lead_days: npt.ArrayLike,
    night: npt.NDArray[np.datetime64],
    forecast_f: npt.ArrayLike,
    observed_f: npt.ArrayLike,
    default_bias_f: Sequence[float],
    default_sd_f: Sequence[float],
) -> tuple[BlendedLead, ...]:
    """Bias and spread by lead day, the farm's own errors shrunk towards the default table.

    Biases are blended as they are and spreads as variances, with weight n / (n + 60) on the
    farm's own n nights. One night of several fields counts once in n: their errors are one.

    Parameters
    ----------
    lead_days, night, forecast_f, observed_f
        Pairs of one length: days ahead, date of the morning, forecast and observed low [F], NaN
        unknown. Only forecasts of `NEAR_FREEZING_F` count.
    default_bias_f, default_sd_f
        The default table by days ahead [F]; the shorter one goes on with its last number.

    Returns
    -------
    tuple
        One entry for each day ahead of the default table.

    Notes
    -----
    The shape of the tails is not learnt: sixty nights hold too few bad surprises for that.
    """
    lead, low = np.asarray(lead_days, int), np.asarray(forecast_f, float)
    error = low - np.asarray(observed_f, float)
    near = (low >= NEAR_FREEZING_F[0]) & (low <= NEAR_FREEZING_F[1]) & ~np.isnan(error)
    table = []
    for days in range(max(len(default_bias_f), len(default_sd_f))):
        mine = near & (lead == days)
        table.append(
            _blended(
                days,
                error[mine],
                np.unique(np.asarray(night)[mine]).size,
                default_bias_f[min(days, len(default_bias_f) - 1)],
                default_sd_f[min(days, len(default_sd_f) - 1)],
            )
        )
    return tuple(table)


def _blended(
    days: int, error_f: npt.NDArray[np.float64], nights: int, bias_f: float, sd_f: float
) -> BlendedLead:
    enough = error_f.size > 1
    here_bias = float(error_f.mean()) if enough else float("nan")
    here_sd = float(error_f.std(ddof=1)) if enough else float("nan")
    weight = nights / (nights + NIGHTS_HALF) if nights >= NIGHTS_MIN else 0.0
    return BlendedLead(
        lead_days=days,
        nights=nights,
        pairs=int(error_f.size),
        default_bias_f=bias_f,
        default_sd_f=sd_f,
        here_bias_f=here_bias,
        here_sd_f=here_sd,
        weight_frac=weight,
        bias_f=(1 - weight) * bias_f + weight * here_bias if weight else bias_f,
        sd_f=float(np.sqrt((1 - weight) * sd_f**2 + weight * here_sd**2)) if weight else sd_f,
    )
