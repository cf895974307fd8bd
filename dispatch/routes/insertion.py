"""Fields a plan leaves out, put between the stops it has where a rig still has the time."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from dispatch.routes.problem import RigDay, RouteProblem, Routes, Visit
from dispatch.routes.timing import gain_ac, timed_day


@dataclass(frozen=True)
class Room:
    """A rig-day with one field more, and what that brings in acres at full effect."""

    place: int
    visits: tuple[Visit, ...]
    more_ac: float


def fill_in(problem: RouteProblem, routes: Routes) -> Routes:
    """The same plan with every left-out field that fits and pays, the best first."""
    filled = list(routes)
    left = left_jobs(problem, routes)
    rooms = {job: _best_by_day(problem, filled, job, range(len(filled))) for job in left}
    while rooms:
        best_of = {job: _most(found.values()) for job, found in rooms.items()}
        job, best = max(
            ((job, one) for job, one in best_of.items() if one is not None),
            key=lambda told: told[1].more_ac,
            default=(0, None),
        )
        if best is None or best.more_ac <= 0:
            break
        filled[best.place] = best.visits
        del rooms[job]
        for other in rooms:
            # Only the day that changed has changed what fits into it.
            rooms[other] |= _best_by_day(problem, filled, other, (best.place,))
    return tuple(filled)


def _best_by_day(
    problem: RouteProblem, routes: Sequence[tuple[Visit, ...]], job: int, places: Iterable[int]
) -> dict[int, Room | None]:
    days = problem.rig_days
    return {at: _most(_rooms(problem, at, days[at], routes[at], job)) for at in places}


def _most(rooms: Iterable[Room | None]) -> Room | None:
    return max((one for one in rooms if one), key=lambda one: one.more_ac, default=None)


def left_jobs(problem: RouteProblem, routes: Routes) -> list[int]:
    """Fields that no rig visits, in their order."""
    visited = {one.job for visits in routes for one in visits}
    return [job for job in range(len(problem.jobs)) if job not in visited]


def best_room(
    problem: RouteProblem, routes: Routes, job: int, *, longer_min: int = 0
) -> Room | None:
    """Where a left-out field brings most; None where it fits nowhere.

    ``longer_min`` lets every rig's day end later by so many minutes.
    """
    found = (
        room
        for place, (day, visits) in enumerate(zip(problem.rig_days, routes, strict=True))
        for room in _rooms(problem, place, longer(day, longer_min), visits, job)
    )
    return _most(found)


def longer(day: RigDay, more_min: int) -> RigDay:
    """The same day ending later."""
    return replace(day, end_min=day.end_min + more_min)


def _rooms(
    problem: RouteProblem, place: int, day: RigDay, visits: tuple[Visit, ...], job: int
) -> Iterator[Room]:
    open_ones = problem.windows_on(day, job)
    if not open_ones:
        return
    now = timed_day(problem, day, visits)
    before_ac = gain_ac(problem, now) if now else 0.0
    for window in open_ones:
        for at in range(len(visits) + 1):
            tried = (*visits[:at], Visit(job, window), *visits[at:])
            timed = timed_day(problem, day, tried)
            if timed is not None:
                yield Room(place, tried, gain_ac(problem, timed) - before_ac)
