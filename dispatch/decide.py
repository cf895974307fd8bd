"""The call of one field from its gates, its maturity, and what the back of the line would cost."""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import numpy.typing as npt

from agronomy.three_valued import NO, UNKNOWN, YES
from dispatch.effect import EffectCurve
from dispatch.outlook import Outlook
from dispatch.policy import DispatchPolicy
from dispatch.readiness import Readiness
from dispatch.report import Call

Why = Literal[
    "window",
    "partial",
    "walk",
    "not_ready",
    "better_later",
    "no_spray_hours",
    "hole",
    "stale",
    "no_forecast",
    "maturity_unknown",
    "dawn_hole",
    "harvest_full",
]

Hours = npt.NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Verdict:
    """The call and what it rests on.

    ``full_h`` and ``partial_h`` are the start hours of the decision span with a full, and with
    only a partial, window. ``best_h`` is the start hour with the best effect among those the call
    rests on. ``back_h`` is the best hour from the back of the line. Costs are in points, None
    where they cannot be told.
    """

    call: Call
    why: Why
    full_h: Hours
    partial_h: Hours
    best_h: int | None
    back_h: int | None
    effect_pct: float | None
    back_pct: float | None

    @property
    def cost_pct(self) -> float | None:
        """Points lost by going to the back of the line; below 0 where waiting is better."""
        if self.effect_pct is None or self.back_pct is None:
            return None
        return self.effect_pct - self.back_pct

    def held_back(self, call: Call, why: Why) -> "Verdict":
        """The same field held back by something beside its own gates, with the same figures."""
        return replace(self, call=call, why=why)


@dataclass(frozen=True, eq=False)
class SpanHours:
    """Start hours of the decision span by what is known of them."""

    full: Hours
    partial: Hours
    may_be_full: Hours
    undecided: Hours
    light: Hours


def span_hours(
    outlook: Outlook, row: int, first_h: int, span_h: int, nights_seen_min: int
) -> SpanHours:
    """Sort the start hours of the span.

    Full: workable, dry long enough, and all freeze-free nights seen. Partial: workable, its rain
    known, and either a freeze seen or at least ``nights_seen_min`` nights seen without one.
    May be full: nothing known stands against it, and something other than the forecast's reach
    is unknown. Undecided: neither full, partial, nor known not to be workable.
    """
    hours = np.arange(first_h, min(first_h + span_h, outlook.workable.shape[1]))
    workable, dry = outlook.workable[row, hours], outlook.dry[row, hours]
    freeze = outlook.freeze.gate[row, hours]
    sighted = outlook.freeze.nights_free[row, hours] >= nights_seen_min
    full = (workable == YES) & (dry == YES) & (freeze == YES)
    told = (workable == YES) & (dry != UNKNOWN) & ((freeze != UNKNOWN) | sighted)
    partial = told & ~full
    open_yet = (workable != NO) & (dry != NO) & (freeze != NO) & ~full
    hole = (workable == UNKNOWN) | (dry == UNKNOWN) | ((freeze == UNKNOWN) & ~sighted)
    undecided = (workable != NO) & ~full & ~partial
    light = outlook.sun.daylight[row, hours] == 1
    return SpanHours(
        full=hours[full],
        partial=hours[partial],
        may_be_full=hours[open_yet & hole],
        undecided=hours[undecided],
        light=hours[light],
    )


def decide(
    row: int,
    outlook: Outlook,
    curve: EffectCurve,
    readiness: Readiness,
    policy: DispatchPolicy,
    *,
    age_h: float | None,
    first_h: int,
    back_from_h: int,
    nights_seen_min: int,
) -> Verdict:
    """Make the call of the field in ``row``.

    Parameters
    ----------
    row
        Row of the field in the outlook and the curve.
    age_h
        Age of its forecast from the provider's issue time [h], None without a forecast.
    first_h, back_from_h
        First start hour, and first hour from the back of the line.
    nights_seen_min
        Fewest nights seen for a partly seen week to be ranked.
    """
    span = span_hours(outlook, row, first_h, policy.decision_span_h, nights_seen_min)
    back_h = _best(curve, row, _light_from(curve, row, back_from_h))
    state = readiness.figures.state
    if age_h is None or age_h > policy.age_unknown_h:
        return _unknown("no_forecast" if age_h is None else "stale", span)
    if state == "unknown":
        return _unknown("maturity_unknown", span)
    if state != "mature":
        return _not_mature(row, curve, readiness, policy, span, back_h)
    if age_h > policy.age_no_spray_h:
        return _unknown("stale", span)
    return _mature(row, curve, span, back_h)


def _mature(row: int, curve: EffectCurve, span: SpanHours, back_h: int | None) -> Verdict:
    if span.full.size:
        best = _told(row, curve, span, back_h, Call.SPRAY, "window", span.full)
    elif span.may_be_full.size:
        return _unknown("hole", span)
    elif span.partial.size:
        best = _told(row, curve, span, back_h, Call.SHORT, "partial", span.partial)
    elif span.undecided.size:
        return _unknown("hole", span)
    else:
        return _told(row, curve, span, back_h, Call.WAIT, "no_spray_hours", span.full)
    if best.cost_pct is None:
        return _unknown("hole", span)
    if best.cost_pct <= 0:
        hours = span.full if span.full.size else span.partial
        return _told(row, curve, span, back_h, Call.WAIT, "better_later", hours)
    return best


def _not_mature(
    row: int,
    curve: EffectCurve,
    readiness: Readiness,
    policy: DispatchPolicy,
    span: SpanHours,
    back_h: int | None,
) -> Verdict:
    """Walk it today when it is nearly there and the back of the line would cost much."""
    hours = next((one for one in (span.full, span.partial, span.light) if one.size), span.full)
    wait = _told(row, curve, span, back_h, Call.WAIT, "not_ready", hours)
    nearly = readiness.figures.state == "nearly"
    if nearly and wait.cost_pct is not None and wait.cost_pct > policy.look_cost_points:
        return _told(row, curve, span, back_h, Call.LOOK, "walk", hours)
    return wait


def _told(
    row: int,
    curve: EffectCurve,
    span: SpanHours,
    back_h: int | None,
    call: Call,
    why: Why,
    hours: Hours,
) -> Verdict:
    best_h = _best(curve, row, hours)
    return Verdict(
        call=call,
        why=why,
        full_h=span.full,
        partial_h=span.partial,
        best_h=best_h,
        back_h=back_h,
        effect_pct=None if best_h is None else float(curve.effect_pct[row, best_h]),
        back_pct=None if back_h is None else float(curve.effect_pct[row, back_h]),
    )


def _unknown(why: Why, span: SpanHours) -> Verdict:
    return Verdict(Call.UNKNOWN, why, span.full, span.partial, None, None, None, None)


def _light_from(curve: EffectCurve, row: int, first_h: int) -> Hours:
    """Daylight hours from one on; the last day told where the line is longer than that."""
    told = np.nonzero(curve.daylight[row] & ~np.isnan(curve.effect_pct[row]))[0]
    later = told[told >= first_h]
    return np.asarray(later if later.size else told[-12:], dtype=np.int64)


def _best(curve: EffectCurve, row: int, hours: Hours) -> int | None:
    """Hour of the best effect, the earliest among equals; None where none is told."""
    effect = curve.effect_pct[row, hours]
    if not effect.size or np.isnan(effect).all():
        return None
    return int(hours[int(np.nanargmax(effect))])
