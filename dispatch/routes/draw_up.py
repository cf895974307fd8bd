"""Visits by the minute turned into the plan people read."""

from collections.abc import Sequence
from typing import Literal

from dispatch.routes.greedy import timed_routes
from dispatch.routes.plan import LeftOut, PlannedDay, RoutePlan, Stop
from dispatch.routes.problem import RigDay, RouteProblem, Routes
from dispatch.routes.timing import TimedDay, TimedStop


def draw_up(
    problem: RouteProblem,
    routes: Routes,
    method: Literal["searched", "greedy"],
    *,
    left_out: Sequence[LeftOut] = (),
    notes: Sequence[str] = (),
) -> RoutePlan:
    """The plan of ``routes``, rig-days without a field left away."""
    timed = timed_routes(problem, routes)
    fixed = {(one.rig_id, one.on): one for one in problem.fixed}
    days = [
        _after(fixed.pop((day.rig.id, day.on), None), _planned(problem, day, one))
        for day, one in zip(problem.rig_days, timed, strict=True)
        if one.stops or day.begun
    ]
    days += fixed.values()
    stops = [stop for one in days for stop in one.stops]
    return RoutePlan(
        start_utc=problem.start_utc,
        time_zone=problem.time_zone,
        method=method,
        days=tuple(sorted(days, key=lambda one: (one.on, one.leave_utc, one.rig_id))),
        left_out=tuple(left_out),
        notes=tuple(notes),
        fields=len(stops),
        acres=round(sum(one.acres for one in stops), 2),
        acres_full=round(sum(one.acres for one in stops if one.full), 2),
        worth_ac=round(sum(one.worth_ac for one in stops), 2),
        miles=round(sum(one.miles for one in days), 1),
    )


def _after(fixed: PlannedDay | None, planned: PlannedDay) -> PlannedDay:
    """A rig's day with what it does already before what is planned."""
    if fixed is None:
        return planned
    stops = (*fixed.stops, *planned.stops)
    told = {
        "stops": stops,
        "leave_utc": fixed.leave_utc,
        "miles": round(fixed.miles + planned.miles, 2),
        "acres": round(sum(one.acres for one in stops), 2),
    }
    return planned.model_copy(update=told)


def _planned(problem: RouteProblem, day: RigDay, timed: TimedDay) -> PlannedDay:
    stops = tuple(_stop(problem, one) for one in timed.stops)
    return PlannedDay(
        rig_id=day.rig.id,
        rig_name=day.rig.name,
        driver=day.driver,
        on=day.on,
        leave_utc=problem.moment(timed.leave_min),
        back_utc=problem.moment(timed.back_min),
        stops=stops,
        miles=round(timed.miles, 2),
        acres=round(sum(one.acres for one in stops), 2),
    )


def _stop(problem: RouteProblem, timed: TimedStop) -> Stop:
    one = problem.jobs[timed.visit.job]
    window = one.windows[timed.visit.window]
    return Stop(
        field_id=one.field_id,
        field_name=one.name,
        acres=one.acres,
        mix_id=one.mix_id,
        arrive_utc=problem.moment(timed.arrive_min),
        start_utc=problem.moment(timed.start_min),
        end_utc=problem.moment(timed.end_min),
        by_utc=problem.moment(window.close_min),
        drive_min=timed.drive_min,
        miles=round(timed.miles, 2),
        fills=timed.fills,
        by_yard=timed.by_yard,
        cleanout_min=timed.cleanout_min,
        effect_pct=window.effect_pct,
        worth_ac=round(problem.worth_ac(timed.visit), 3),
        full=window.full,
        lacks=window.lacks,
        locked=one.field_id in problem.locked,
    )
