"""One rig's day by the minute: when it comes, starts and ends at every field of its list."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from dispatch.routes.problem import RigDay, RouteProblem, Visit
from dispatch.routes.work import cleanout_min, fills_in_field, fills_in_yard, yard_fill_min


@dataclass(frozen=True)
class TimedStop:
    """One field on the list. ``miles`` and ``drive_min`` are of the way to it, by the yard where
    ``by_yard``; ``fills`` counts the tanks filled for it.
    """

    visit: Visit
    arrive_min: int
    start_min: int
    end_min: int
    drive_min: int
    miles: float
    fills: int
    by_yard: bool
    cleanout_min: int


@dataclass(frozen=True)
class TimedDay:
    """A rig's day that works out; ``kept_ac`` is what counts for leaving fields as they were."""

    leave_min: int
    back_min: int
    stops: tuple[TimedStop, ...]
    miles_home: float
    kept_ac: float = 0.0

    @property
    def miles(self) -> float:
        """All miles of the day."""
        return sum(one.miles for one in self.stops) + self.miles_home


@dataclass(frozen=True)
class _Way:
    """The rig between two fields: where it is, since when, what is in its tank."""

    place: int
    free_min: int
    mix_id: str | None
    left_gal: float


def timed_day(problem: RouteProblem, day: RigDay, visits: Sequence[Visit]) -> TimedDay | None:
    """The day of a rig that makes ``visits`` in order, as early as it can; None if it cannot.

    It fills in the yard where it is told to, and where its tank would not do. It leaves as late
    as its first field allows.
    """
    yard, begun = problem.travel.yard_of[day.rig.id], day.begun
    if not visits:
        home = problem.travel.miles(day.rig, begun.place, yard) if begun else 0.0
        home_min = problem.travel.minutes(day.rig, begun.place, yard) if begun else 0
        return TimedDay(day.start_min, day.start_min + home_min, (), home)
    way = (
        _Way(begun.place, day.start_min, begun.mix_id, begun.left_gal)
        if begun
        else _Way(yard, day.start_min, None, 0.0)
    )
    stops: list[TimedStop] = []
    for visit in visits:
        stop = _next_stop(problem, day, way, visit, first=not stops and not begun)
        if stop is None:
            return None
        stops.append(stop)
        one = problem.jobs[visit.job]
        full_gal = day.rig.tank_gal or 0.0
        left_gal = (full_gal if stop.by_yard else way.left_gal) - (one.gallons or 0.0)
        way = _Way(visit.job, stop.end_min, one.mix_id, left_gal)
    back_min = way.free_min + problem.travel.minutes(day.rig, way.place, yard)
    if back_min > day.end_min:
        return None
    first = stops[0]
    waited_min = first.start_min - first.arrive_min - problem.ready_min[day.rig.id][visits[0].job]
    leave_min = first.arrive_min - first.drive_min + waited_min
    stops[0] = replace(first, arrive_min=first.arrive_min + waited_min)
    home = problem.travel.miles(day.rig, way.place, yard)
    kept_ac = sum(problem.kept_ac(day, one.job) for one in visits)
    return TimedDay(leave_min, back_min, tuple(stops), home, kept_ac)


def _next_stop(
    problem: RouteProblem, day: RigDay, way: _Way, visit: Visit, *, first: bool
) -> TimedStop | None:
    rig, one = day.rig, problem.jobs[visit.job]
    window = one.windows[visit.window]
    if not window.takes(rig) or not problem.fits_tank(rig, visit.job):
        return None
    by_yard = fills_in_yard(rig) and (
        first or visit.fill_first or way.mix_id != one.mix_id or (one.gallons or 0) > way.left_gal
    )
    drive_min, miles = _drive(problem, day, way.place, visit.job, by_yard=by_yard and not first)
    cleaning_min = cleanout_min(rig, way.mix_id, one.mix_id)
    filling_min = yard_fill_min(rig) if by_yard else 0
    arrive_min = way.free_min + drive_min + cleaning_min + filling_min
    ready = arrive_min + problem.ready_min[rig.id][visit.job]
    start_min = max(ready, window.open_min)
    end_min = start_min + problem.spray_min[rig.id][visit.job]
    if start_min > window.last_start_min or end_min > min(window.close_min, day.end_min):
        return None
    fills = int(by_yard) or fills_in_field(rig, one)
    return TimedStop(
        visit, arrive_min, start_min, end_min, drive_min, miles, fills, by_yard, cleaning_min
    )


def _drive(
    problem: RouteProblem, day: RigDay, place: int, job: int, *, by_yard: bool
) -> tuple[int, float]:
    travel, rig = problem.travel, day.rig
    if not by_yard:
        return travel.minutes(rig, place, job), travel.miles(rig, place, job)
    yard = travel.yard_of[rig.id]
    minutes = travel.minutes(rig, place, yard) + travel.minutes(rig, yard, job)
    return minutes, travel.miles(rig, place, yard) + travel.miles(rig, yard, job)


def gain_ac(problem: RouteProblem, timed: TimedDay) -> float:
    """What a day brings: acres at full effect, less what its miles cost, and what stays counts."""
    worth = sum(problem.worth_ac(one.visit) for one in timed.stops)
    return worth - problem.settings.mile_cost_ac * timed.miles + timed.kept_ac
