"""The best there is, by trying every list of every rig: for a handful of fields only."""

from collections.abc import Iterator

from dispatch.routes.problem import RigDay, RouteProblem, Visit
from dispatch.routes.timing import gain_ac, timed_day

Chosen = frozenset[int]


def best_gain_ac(problem: RouteProblem) -> float:
    """The most any plan brings, in acres at full effect."""
    together: dict[Chosen, float] = {frozenset(): 0.0}
    for day in problem.rig_days:
        alone: dict[Chosen, float] = {frozenset(): 0.0}
        for jobs, gain in _lists(problem, day, ()):
            alone[jobs] = max(gain, alone.get(jobs, gain))
        grown: dict[Chosen, float] = {}
        for before, had in together.items():
            for jobs, gain in alone.items():
                if not before & jobs:
                    both = before | jobs
                    grown[both] = max(had + gain, grown.get(both, 0.0))
        together = grown
    return max(together.values())


def _lists(
    problem: RouteProblem, day: RigDay, visits: tuple[Visit, ...]
) -> Iterator[tuple[Chosen, float]]:
    been = frozenset(one.job for one in visits)
    for job in set(range(len(problem.jobs))) - been:
        for window in range(len(problem.jobs[job].windows)):
            tried = (*visits, Visit(job, window))
            timed = timed_day(problem, day, tried)
            if timed is not None:
                yield been | {job}, gain_ac(problem, timed)
                yield from _lists(problem, day, tried)


class Steps:
    """Goes on for so many steps, whatever the time."""

    def __init__(self, count: int) -> None:
        self.left = count

    def __call__(self, _: float) -> bool:
        self.left -= 1
        return self.left >= 0
