"""What a spray turned out to be worth, with the weather that came. No rule sees this.

Warmth up to the killing freeze, less what rain washed off, less what unripe bolls lost.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from agronomy.activity import activity, dose, warmth
from agronomy.maturity_loss import field_loss_pct
from dispatch.effect import WORK_DAYS
from dispatch.season import assumptions as assumed
from dispatch.season.co_op import GATES, KINDS, MATURITY, MIXES, POLICY, CoOp

Floats = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]

#: Hours a harvest aid works [h].
WORK_H = 24 * WORK_DAYS


@dataclass(frozen=True, eq=False)
class SeasonTruth:
    """What came in one season: hourly temperature, rain by part of the co-op, lows, node counts."""

    temp_f: Floats
    rains: Flags
    low_f: Floats
    nacb: Floats


def killed_day(low_f: Floats, cold_spot_f: float) -> int:
    """Morning of the first killing freeze; the number of days where none comes."""
    killed = low_f - cold_spot_f <= GATES.killing_f
    return int(killed.argmax()) if killed.any() else low_f.size


def killed_days(co_op: CoOp, low_f: Floats) -> Whole:
    """Morning of the first killing freeze of each field."""
    by_spot = np.array([killed_day(low_f, one) for one in assumed.COLD_SPOTS_F])
    return by_spot[[KINDS[kind].cold for kind in co_op.kind]]


def worked_by_hour(temp_f: Floats) -> Floats:
    """Activity up to the start of each hour, and to the end of the last, along the last axis."""
    before = np.zeros((*temp_f.shape[:-1], 1))
    return np.concatenate([before, np.cumsum(activity(temp_f), axis=-1)], axis=-1)


def warmth_gained(worked: Floats, start: int, killed_h: int) -> float:
    """Warmth of the week from an hour on that came before the kill, 0 to 1; see `worked_by_hour`.

    Nothing where the field was dead by then.
    """
    end = max(start, min(start + WORK_H, killed_h, worked.size - 1))
    return float(warmth(dose(worked[end] - worked[start])))


def worth_of(co_op: CoOp, truth: SeasonTruth, sprayed_h: Whole) -> Floats:
    """Share of a perfect spray that each field got, from 0.25 to 1.

    Parameters
    ----------
    co_op
        The fields.
    truth
        What came.
    sprayed_h
        Hour of the season in which each field was begun, -1 where it never was, shape (fields,).
    """
    worked = worked_by_hour(truth.temp_f)
    killed_h = 24 * killed_days(co_op, truth.low_f) + assumed.LOW_AT_H
    worth = np.full(sprayed_h.shape, assumed.LEAST_WORTH)
    for row, start in enumerate(sprayed_h):
        if start < 0:
            continue
        kind = KINDS[co_op.kind[row]]
        gained = warmth_gained(worked, start, killed_h[row])
        if washed(truth.rains[kind.zone], start, MIXES[kind.mix].rain_free_h):
            gained *= 1 - POLICY.wash_loss_frac
        gained *= _ready(float(truth.nacb[row, start // 24]))
        worth[row] = max(assumed.LEAST_WORTH, gained)
    return worth


def washed(rains: Flags, start: int, rain_free_h: float) -> bool:
    """Whether rain falls in the hour of a spray or the hours its treatment needs dry."""
    return bool(rains[start : start + int(np.ceil(rain_free_h)) + 1].any())


def _ready(nacb: float) -> float:
    loss = max(0.0, float(field_loss_pct(nacb) - field_loss_pct(MATURITY.nacb_max))) / 100
    return max(0.0, 1 - loss / POLICY.spray_worth_frac)
