"""The plan a person makes by hand: fields in the order of the morning, each to the best rig left.

It starts the search, is what a plan is measured against, and stands in where nothing searches.
"""

from collections.abc import Iterator

from dispatch.routes.problem import RouteProblem, Routes, Visit
from dispatch.routes.timing import TimedDay, gain_ac, timed_day


def greedy_routes(problem: RouteProblem) -> Routes:
    """Visits of every rig-day: each field in its turn goes to the end of the best list.

    The best list is the one that gains most, then the one that is done first. A field that would
    not pay for its miles is left out.
    """
    routes: list[tuple[Visit, ...]] = [() for _ in problem.rig_days]
    gains = [gain_ac(problem, one) for one in timed_routes(problem, tuple(routes))]
    for job in range(len(problem.jobs)):
        found = max(
            _appended(problem, routes, gains, job),
            key=lambda one: (round(one[0], 6), -one[1]),
            default=None,
        )
        if found is None or found[0] <= 0:
            continue
        more, _, place, visit = found
        routes[place] = (*routes[place], visit)
        gains[place] += more
    return tuple(routes)


def _appended(
    problem: RouteProblem, routes: list[tuple[Visit, ...]], gains: list[float], job: int
) -> Iterator[tuple[float, int, int, Visit]]:
    """What a field brings at the end of each list it fits: gain, end of its spray, list, visit."""
    for place, day in enumerate(problem.rig_days):
        for window in problem.windows_on(day, job):
            visit = Visit(job, window)
            timed = timed_day(problem, day, (*routes[place], visit))
            if timed is not None:
                yield gain_ac(problem, timed) - gains[place], timed.stops[-1].end_min, place, visit


def timed_routes(problem: RouteProblem, routes: Routes) -> tuple[TimedDay, ...]:
    """Every rig-day by the minute; ValueError where one does not work out."""
    days = []
    for day, visits in zip(problem.rig_days, routes, strict=True):
        timed = timed_day(problem, day, visits)
        if timed is None:
            raise ValueError(f"routes of {day.rig.id} on {day.on}: the visits do not work out")
        days.append(timed)
    return tuple(days)


def routes_gain_ac(problem: RouteProblem, routes: Routes) -> float:
    """What all rig-days bring: acres at full effect, less what their miles cost."""
    return sum(gain_ac(problem, one) for one in timed_routes(problem, routes))
