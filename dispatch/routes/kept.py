"""The plan before, carried over into a new one: every stop that can stay stays."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from dispatch.routes.plan import PlannedDay, RoutePlan, Stop
from dispatch.routes.problem import RigDay, RouteProblem, Routes, RouteWindow, Visit
from dispatch.routes.standing import Lock, Outage, Standing
from dispatch.routes.timing import timed_day
from dispatch.words import LocalClock

#: A visit with the start it had, by which a rig's list is ordered.
_Told = tuple[datetime, Visit]


def kept_routes(problem: RouteProblem, before: RoutePlan) -> Routes:
    """The visits of the plan before that still work out, with their rigs and days, in order."""
    jobs = {one.field_id: number for number, one in enumerate(problem.jobs)}
    held = {(lock.rig_id, lock.on, lock.field_id) for lock in problem.locks}
    days = {(one.rig_id, one.on): one for one in before.days}
    routes: list[tuple[Visit, ...]] = []
    for day in problem.rig_days:
        planned = days.get((day.rig.id, day.on))
        stops = [one for one in planned.stops if one.field_id in jobs] if planned else []
        locked = [one for one in stops if (day.rig.id, day.on, one.field_id) in held]
        others = [one for one in stops if one not in locked and one.field_id not in problem.locked]
        told: list[_Told] = []
        for stop in (*locked, *others):
            told = _with_stop(problem, day, told, stop, jobs[stop.field_id]) or told
        routes.append(tuple(visit for _, visit in told))
    return tuple(routes)


def _with_stop(
    problem: RouteProblem, day: RigDay, told: list[_Told], stop: Stop, job: int
) -> list[_Told] | None:
    """A rig's list with one stop more, in the window most like the one it had."""
    for window in _windows_like(problem, day, stop, job):
        one = Visit(job, window, fill_first=stop.by_yard and bool(told))
        tried = sorted([*told, (stop.start_utc, one)], key=lambda each: each[0])
        if timed_day(problem, day, [visit for _, visit in tried]) is not None:
            return tried
    return None


def _windows_like(problem: RouteProblem, day: RigDay, stop: Stop, job: int) -> list[int]:
    start_min = (stop.start_utc - problem.start_utc).total_seconds() / 60
    end_min = (stop.end_utc - problem.start_utc).total_seconds() / 60
    windows = problem.jobs[job].windows

    def unlike(number: int) -> tuple[bool, bool, float, float]:
        one = windows[number]
        inside = one.open_min <= start_min <= one.last_start_min and end_min <= one.close_min
        off_min = max(one.open_min - start_min, start_min - one.last_start_min, 0)
        return not inside, one.full != stop.full, abs(one.effect_pct - stop.effect_pct), off_min

    fitting = [one for one in problem.windows_on(day, job) if windows[one].takes(day.rig)]
    return sorted(fitting, key=unlike)


def hold_locks(
    problem: RouteProblem, standing: Standing, gone: Mapping[str, str]
) -> tuple[RouteProblem, tuple[str, ...]]:
    """The problem with the windows of locked fields narrowed, and a line for each lock that fails.

    Parameters
    ----------
    problem
        What there is to plan.
    standing
        The plan before, with the locks.
    gone
        Why fields of it are not to be planned any more.
    """
    lines = []
    ordered = sorted(standing.locks, key=lambda one: (one.rig_id, one.on, one.start_utc))
    for lock in ordered:
        held = _held(problem, standing, lock, gone)
        if isinstance(held, str):
            lines.append(f"lock {lock.rig_id}/{lock.field_id} does not hold: {held}")
        else:
            problem = held
    return problem, tuple(lines)


def _held(
    problem: RouteProblem, standing: Standing, lock: Lock, gone: Mapping[str, str]
) -> RouteProblem | str:
    """The problem with one lock more, or why it cannot be."""
    jobs = {one.field_id: number for number, one in enumerate(problem.jobs)}
    if lock.field_id not in jobs:
        return gone.get(lock.field_id, "it is not to be sprayed any more")
    was, stop = standing.stops[lock.field_id]
    day = _day_of(problem, lock)
    broken = standing.outage(lock.rig_id, stop.arrive_utc, stop.end_utc)
    if broken is not None:
        return out_words(was.rig_name, broken, clock_of(problem))
    if day is None:
        return f"{was.rig_name} does not work that day any more"
    number = jobs[lock.field_id]
    job = problem.jobs[number]
    narrow = tuple(_narrow(problem, lock, one) for one in job.windows if one.takes(day.rig))
    windows = tuple(one for one in narrow if one is not None)
    if not windows:
        return "its hours then are gone"
    changed = replace(job, windows=windows)
    held = replace(
        problem,
        jobs=(*problem.jobs[:number], changed, *problem.jobs[number + 1 :]),
        locks=(*problem.locks, lock),
    )
    plan = standing.plan
    assert plan is not None
    carried = kept_routes(held, _only(plan, held.locks))
    if len(held.locks) > sum(len(visits) for visits in carried):
        return f"{was.rig_name} cannot be there in time any more"
    return held


def _day_of(problem: RouteProblem, lock: Lock) -> RigDay | None:
    found = (one for one in problem.rig_days if (one.rig.id, one.on) == (lock.rig_id, lock.on))
    return next(found, None)


def _only(plan: RoutePlan, locks: Iterable[Lock]) -> RoutePlan:
    """The plan with no stop but the locked ones."""
    ids = {one.field_id for one in locks}

    def cut(day: PlannedDay) -> PlannedDay:
        stops = tuple(one for one in day.stops if one.field_id in ids)
        return day.model_copy(update={"stops": stops})

    return plan.model_copy(update={"days": tuple(cut(day) for day in plan.days)})


def _narrow(problem: RouteProblem, lock: Lock, window: RouteWindow) -> RouteWindow | None:
    """The part of a window in which a locked spray may start, for its rig alone."""
    slack = timedelta(minutes=problem.settings.lock_min)
    first, last = (
        round((moment - problem.start_utc).total_seconds() / 60)
        for moment in (lock.start_utc - slack, lock.start_utc + slack)
    )
    open_min, last_min = max(window.open_min, first), min(window.last_start_min, last)
    if last_min < open_min:
        return None
    return replace(window, open_min=open_min, last_start_min=last_min, rig_id=lock.rig_id)


def out_words(rig_name: str, outage: Outage, clock: LocalClock) -> str:
    """Since when a rig is out, until when and why."""
    until = f" to {clock.weekday_moment(outage.until_utc)}" if outage.until_utc else ""
    why = f" ({outage.why})" if outage.why else ""
    return f"{rig_name} is out from {clock.weekday_moment(outage.from_utc)}{until}{why}"


def clock_of(problem: RouteProblem) -> LocalClock:
    """The farm's clock on the day a plan begins."""
    today = problem.start_utc.astimezone(ZoneInfo(problem.time_zone)).date()
    return LocalClock(problem.time_zone, problem.time_zone, today)
