"""What a visit to a field is expected to be worth: where walking would most change what is done.

A field that stands still for want of a count gains the cost of the back of the line if the visit
finds it mature. Its worth is that cost times the chance that it is found so.
"""

import numpy as np

from dispatch.decide import Hours, Verdict
from dispatch.effect import EffectCurve, Floats
from dispatch.readiness import Readiness
from dispatch.report import Call, VisitGain

#: Chance that a field nobody has counted is mature [%], until its neighbours say more. Judgement.
NEVER_COUNTED_PCT = 50.0


def visit_gain(
    row: int,
    verdict: Verdict,
    readiness: Readiness,
    curve: EffectCurve,
    *,
    first_h: int,
    span_h: int,
    back_from_h: int,
    acres: float,
) -> VisitGain | None:
    """Expected gain of walking the field today, None where a visit would change nothing.

    Parameters
    ----------
    row
        Row of the field in the curve.
    verdict, readiness
        Its call and what is known of its maturity.
    curve
        Effects by start hour.
    first_h, span_h, back_from_h
        First start hour, length of the decision span, first hour from the back of the line [h].
    acres
        Acres of the field.
    """
    if verdict.call in (Call.SPRAY, Call.SHORT) or readiness.figures.state == "mature":
        return None
    chance = readiness.chance_mature_now_pct
    chance = NEVER_COUNTED_PCT if chance is None else chance
    with np.errstate(invalid="ignore", divide="ignore"):
        if_mature = curve.effect_pct[row] / curve.ready[row]
    in_windows = verdict.full_h if verdict.full_h.size else verdict.partial_h
    any_hour = _light(curve, row, first_h, first_h + span_h)
    now = _best(if_mature, in_windows if in_windows.size else any_hour)
    later = _best(if_mature, _light(curve, row, back_from_h, if_mature.size))
    if now is None or later is None:
        return None
    cost = max(0.0, now - later)
    points = cost * chance / 100
    return VisitGain(
        chance_mature_pct=round(chance, 1),
        cost_if_mature_pct=round(cost, 2),
        points=round(points, 2),
        acres=round(points * acres / 100, 2),
        never_counted=readiness.nodes_then is None,
    )


def _light(curve: EffectCurve, row: int, first: int, end: int) -> Hours:
    hours = np.arange(first, min(end, curve.daylight.shape[1]))
    return np.asarray(hours[curve.daylight[row, hours]])


def _best(effect: Floats, hours: Hours) -> float | None:
    told = effect[hours][np.isfinite(effect[hours])]
    return float(told.max()) if told.size else None
