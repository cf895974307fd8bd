"""How well forecasts held: errors of what was told in degrees, and odds against what came."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.stats import binomtest

Floats = npt.NDArray[np.float64]

#: Bins of a reliability table, each a tenth of the odds. Common practice.
BINS = 10

#: Share of the time an interval of a bin holds the true share.
CONFIDENCE_FRAC = 0.95


@dataclass(frozen=True)
class ErrorScores:
    """Errors of a forecast amount, in its own unit; NaN where ``n`` is 0.

    ``bias`` is the mean of forecast minus observed, ``mae`` the mean size of the error, ``rmse``
    the root of its mean square, ``sd`` its sample standard deviation (NaN below two pairs).
    ``left_out`` pairs had no forecast or no observation.
    """

    n: int
    left_out: int
    bias: float
    mae: float
    rmse: float
    sd: float


@dataclass(frozen=True, eq=False)
class Reliability:
    """What came for each bin of odds, arrays of length `BINS`, NaN where a bin is empty.

    ``told_frac`` is the mean of the odds told, ``came_frac`` the share that came, and
    ``low_frac`` to ``high_frac`` the Wilson interval around that share, as if cases were
    independent.
    """

    from_frac: Floats
    to_frac: Floats
    n: npt.NDArray[np.int64]
    told_frac: Floats
    came_frac: Floats
    low_frac: Floats
    high_frac: Floats


@dataclass(frozen=True, eq=False)
class OddsScores:
    """Odds of an event against whether it came; numbers are NaN where ``n`` is 0.

    ``brier`` is the mean square of odds minus outcome, 0 the best. ``base_rate_brier`` is what
    always telling the share that came, ``base_rate_frac``, would have got.
    """

    n: int
    left_out: int
    brier: float
    base_rate_frac: float
    base_rate_brier: float
    reliability: Reliability


def error_scores(forecast: npt.ArrayLike, observed: npt.ArrayLike) -> ErrorScores:
    """Bias, mean absolute error and root mean square error.

    Parameters
    ----------
    forecast, observed
        Amounts in one unit, of one shape, NaN unknown; pairs with a NaN are left out.

    Examples
    --------
    >>> error_scores([2.5, 0.0, 2.0, 8.0], [3.0, -0.5, 2.0, 7.0]).mae
    0.5
    """
    error = (np.asarray(forecast, float) - np.asarray(observed, float)).ravel()
    known = error[~np.isnan(error)]
    if not known.size:
        return ErrorScores(0, error.size, *[float("nan")] * 4)
    return ErrorScores(
        n=known.size,
        left_out=error.size - known.size,
        bias=float(known.mean()),
        mae=float(np.abs(known).mean()),
        rmse=float(np.sqrt((known**2).mean())),
        sd=float(known.std(ddof=1)) if known.size > 1 else float("nan"),
    )


def odds_scores(chance_frac: npt.ArrayLike, came: npt.ArrayLike) -> OddsScores:
    """Brier score [1]_ and reliability of odds.

    Parameters
    ----------
    chance_frac
        Odds told, 0 to 1, NaN unknown.
    came
        1 where the event came, 0 where not, NaN unknown; same shape. Cases with a NaN are left out.

    Raises
    ------
    ValueError
        Odds outside 0 to 1, such as odds in percent, or an outcome that is neither 0 nor 1.

    References
    ----------
    .. [1] Brier, Monthly Weather Review 78:1-3, 1950. His score adds that of "it did not come",
       and is twice this one.
    """
    chance, outcome = _known(chance_frac, came)
    asked = np.asarray(chance_frac, float).size
    if not chance.size:
        nothing = float("nan")
        return OddsScores(0, asked, nothing, nothing, nothing, reliability([], []))
    rate = float(outcome.mean())
    return OddsScores(
        n=chance.size,
        left_out=asked - chance.size,
        brier=float(((chance - outcome) ** 2).mean()),
        base_rate_frac=rate,
        base_rate_brier=rate * (1 - rate),
        reliability=reliability(chance, outcome),
    )


def reliability(chance_frac: npt.ArrayLike, came: npt.ArrayLike) -> Reliability:
    """What came by tenths of the odds; a bin holds its lower edge, the last one both.

    Parameters and errors as in `odds_scores`.
    """
    chance, outcome = _known(chance_frac, came)
    # Odds such as 0.3 stand a rounding below the edge they name.
    place = np.minimum((chance * BINS + 1e-9).astype(int), BINS - 1)
    n = np.bincount(place, minlength=BINS)
    hits = np.bincount(place, weights=outcome, minlength=BINS)
    told = np.bincount(place, weights=chance, minlength=BINS)
    filled = np.where(n > 0, n, np.nan)
    spans = [share_interval(int(hit), int(of)) for hit, of in zip(hits, n, strict=True)]
    edges = np.arange(BINS + 1) / BINS
    return Reliability(
        from_frac=edges[:-1],
        to_frac=edges[1:],
        n=n.astype(np.int64),
        told_frac=told / filled,
        came_frac=hits / filled,
        low_frac=np.array([low for low, _ in spans]),
        high_frac=np.array([high for _, high in spans]),
    )


def share_interval(hits: int, of: int) -> tuple[float, float]:
    """Wilson's 95 % interval of a share, NaN for a share of nothing."""
    if of == 0:
        return float("nan"), float("nan")
    span = binomtest(hits, of).proportion_ci(CONFIDENCE_FRAC, method="wilson")
    return float(span.low), float(span.high)


def _known(chance_frac: npt.ArrayLike, came: npt.ArrayLike) -> tuple[Floats, Floats]:
    chance, outcome = np.asarray(chance_frac, float).ravel(), np.asarray(came, float).ravel()
    both = ~(np.isnan(chance) | np.isnan(outcome))
    chance, outcome = chance[both], outcome[both]
    if ((chance < 0) | (chance > 1)).any():
        worst = chance[(chance < 0) | (chance > 1)][0]
        raise ValueError(f"odds: got {worst:g}, wanted 0 to 1; divide percent by 100")
    if not np.isin(outcome, (0.0, 1.0)).all():
        odd = outcome[~np.isin(outcome, (0.0, 1.0))][0]
        raise ValueError(f"outcome: got {odd:g}, wanted 0, 1 or NaN")
    return chance, outcome
