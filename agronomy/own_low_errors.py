"""The errors a farm's own thermometer found in forecast lows, blended into the default table."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID

import numpy as np
import numpy.typing as npt
from pydantic import AwareDatetime, BaseModel, ConfigDict, Field

#: Fewest nights of a lead before this farm's own errors count [nights]. Judgement.
NIGHTS_MIN = 60

#: Nights of its own that weigh as much as the default table [nights]: the weight of n nights is
#: n / (n + 60). Judgement.
NIGHTS_HALF = 60

#: Least and most that a blended spread may be of the default one: half the variance, twice the
#: variance. Judgement.
SD_FACTORS = (0.7, 1.4)

#: Farthest that a blended bias may lie from the default one [F]. Judgement.
BIAS_APART_F = 3.0

#: Forecast lows near enough to freezing to count [F], as in the fit of the default table.
NEAR_FREEZING_F = (20.0, 50.0)


@dataclass(frozen=True)
class BlendedLead:
    """Error of forecast lows of one lead day [F]: by default, here, and blended.

    ``nights`` counts different nights, ``pairs`` forecasts beside a low that came; ``here_*``
    are NaN below two pairs. ``weight_frac`` is the share of this farm's own errors in
    ``bias_f`` and ``sd_f``, 0 below `NIGHTS_MIN` nights. ``held`` marks a blend that would lie
    beyond `SD_FACTORS` or `BIAS_APART_F`, and was kept at that bound.
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
    held: bool = False


class OwnLead(BaseModel):
    """What a farm's own thermometer found of one lead day: nights, pairs, bias and sd [F]."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    lead_days: int = Field(ge=0, le=15)
    nights: int = Field(ge=NIGHTS_MIN, le=100_000)
    pairs: int = Field(ge=2)
    bias_f: float = Field(ge=-30, le=30, allow_inf_nan=False)
    sd_f: float = Field(ge=0, le=30, allow_inf_nan=False)


class OwnLowErrors(BaseModel):
    """A farm's own errors of one source's lows, as they were kept.

    Only leads with enough nights are in ``leads``; how they were watched stands in ``observed``,
    from ``first_on`` to ``last_on``. ``forgotten`` takes back what was kept of the source before.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    uuid: UUID
    source: str = Field(min_length=1, max_length=200)
    kept_utc: AwareDatetime
    first_on: date
    last_on: date
    observed: str = Field(default="", max_length=2000)
    leads: tuple[OwnLead, ...] = ()
    forgotten: bool = False


def own_leads(table: Sequence[BlendedLead]) -> tuple[OwnLead, ...]:
    """The leads of a table that have enough nights to be kept."""
    return tuple(
        OwnLead(
            lead_days=one.lead_days,
            nights=one.nights,
            pairs=one.pairs,
            bias_f=one.here_bias_f,
            sd_f=one.here_sd_f,
        )
        for one in table
        if one.weight_frac
    )


def blended_own(
    leads: Sequence[OwnLead], default_bias_f: Sequence[float], default_sd_f: Sequence[float]
) -> tuple[BlendedLead, ...]:
    """The default table blended with leads that were kept, as `blended_low_errors` does."""
    by_lead = {one.lead_days: one for one in leads}
    table = []
    for days, (bias_f, sd_f) in enumerate(_default_table(default_bias_f, default_sd_f)):
        mine = by_lead.get(days)
        here = (mine.nights, mine.pairs, mine.bias_f, mine.sd_f) if mine else _NOTHING
        table.append(_blended(days, *here, bias_f, sd_f))
    return tuple(table)


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
    The shape of the tails is not learnt: sixty nights hold too few bad surprises for that. Nor may
    a blend leave the default far behind (`SD_FACTORS`, `BIAS_APART_F`), whatever was recorded: a
    thermometer in the wrong place, or in the sun, must not make nights look safe or deadly.
    """
    lead, low = np.asarray(lead_days, int), np.asarray(forecast_f, float)
    error = low - np.asarray(observed_f, float)
    near = (low >= NEAR_FREEZING_F[0]) & (low <= NEAR_FREEZING_F[1]) & ~np.isnan(error)
    table = []
    for days, (bias_f, sd_f) in enumerate(_default_table(default_bias_f, default_sd_f)):
        mine = near & (lead == days)
        nights = np.unique(np.asarray(night)[mine]).size
        table.append(_blended(days, nights, *_spread(error[mine]), bias_f, sd_f))
    return tuple(table)


#: Nights, pairs, bias and sd where nothing was watched.
_NOTHING = (0, 0, float("nan"), float("nan"))


def _default_table(bias_f: Sequence[float], sd_f: Sequence[float]) -> Iterator[tuple[float, float]]:
    for days in range(max(len(bias_f), len(sd_f))):
        yield bias_f[min(days, len(bias_f) - 1)], sd_f[min(days, len(sd_f) - 1)]


def _spread(error_f: npt.NDArray[np.float64]) -> tuple[int, float, float]:
    """Pairs, bias and sd."""
    if error_f.size < 2:
        return int(error_f.size), float("nan"), float("nan")
    return int(error_f.size), float(error_f.mean()), float(error_f.std(ddof=1))


def _blended(
    days: int,
    nights: int,
    pairs: int,
    here_bias_f: float,
    here_sd_f: float,
    bias_f: float,
    sd_f: float,
) -> BlendedLead:
    weight = nights / (nights + NIGHTS_HALF) if nights >= NIGHTS_MIN and pairs > 1 else 0.0
    told = BlendedLead(
        days, nights, pairs, bias_f, sd_f, here_bias_f, here_sd_f, weight, bias_f, sd_f
    )
    if not weight:
        return told
    bias = (1 - weight) * bias_f + weight * here_bias_f
    sd = math.sqrt((1 - weight) * sd_f**2 + weight * here_sd_f**2)
    least, most = (factor * sd_f for factor in SD_FACTORS)
    bias_held = min(max(bias, bias_f - BIAS_APART_F), bias_f + BIAS_APART_F)
    sd_held = min(max(sd, least), most)
    return replace(told, bias_f=bias_held, sd_f=sd_held, held=(bias_held, sd_held) != (bias, sd))
