"""The best visits there are time to find, never fewer acres at full effect than by hand."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from dispatch.routes.greedy import greedy_routes, routes_gain_ac, timed_routes
from dispatch.routes.insertion import fill_in
from dispatch.routes.problem import LOCK_AC, RouteProblem, Routes
from dispatch.routes.solver import searched_routes
from dispatch.routes.timing import gain_ac

NO_SEARCH = (
    "Planned in the order of the morning, each field to the best rig left: the search is not "
    'installed; pip install "pyvrp>=0.14,<0.15" finds better plans'
)

#: What a plan must bring more than what stands to replace it [acres at full effect].
TO_REPLACE_AC = 0.05

#: What a search is asked before every step: the gain so far, in acres at full effect.
GainGoing = Callable[[float], bool]


@dataclass(frozen=True)
class Found:
    """Visits of every rig-day, and how they were found."""

    routes: Routes
    method: Literal["searched", "greedy"]
    gain_ac: float
    by_hand_gain_ac: float
    note: str = ""


def best_routes(problem: RouteProblem, keep_going: GainGoing, kept: Routes | None = None) -> Found:
    """Search from the plan made by hand, and keep the better of the two.

    Parameters
    ----------
    problem
        What there is to plan.
    keep_going
        Asked before every step; the time is the caller's.
    kept
        What still works out of a plan before; the search starts from it then, and only a plan
        that is better though it moves fields replaces it.
    """
    by_hand = greedy_routes(problem)
    hand_ac = routes_gain_ac(problem, by_hand)
    start = fill_in(problem, by_hand if kept is None else kept)
    start_ac = routes_gain_ac(problem, start)
    if kept is not None and hand_ac > start_ac + TO_REPLACE_AC and _holds(problem, by_hand):
        start, start_ac = by_hand, hand_ac
    locked_ac = LOCK_AC * len(problem.locks)
    try:
        found = searched_routes(problem, start, lambda ac: keep_going(ac - locked_ac))
    except ImportError:
        return Found(start, "greedy", start_ac, hand_ac, NO_SEARCH)
    searched = fill_in(problem, found)
    searched_ac = routes_gain_ac(problem, searched)
    to_beat_ac = start_ac if kept is None else start_ac + TO_REPLACE_AC
    if searched_ac < to_beat_ac or not _holds(problem, searched):
        return Found(start, "greedy" if kept is None else "searched", start_ac, hand_ac)
    return Found(searched, "searched", searched_ac, hand_ac)


def _holds(problem: RouteProblem, routes: Routes) -> bool:
    """Whether every locked field is visited."""
    visited = {problem.jobs[one.job].field_id for visits in routes for one in visits}
    return problem.locked <= visited


def routes_worth_ac(problem: RouteProblem, routes: Routes) -> float:
    """What all rig-days bring, leaving fields where they were counted for nothing."""
    days = timed_routes(problem, routes)
    return sum(gain_ac(problem, one) - one.kept_ac for one in days)
