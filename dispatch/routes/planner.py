"""The best visits there are time to find, never fewer acres at full effect than by hand."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from dispatch.routes.greedy import greedy_routes, routes_gain_ac
from dispatch.routes.insertion import fill_in
from dispatch.routes.problem import RouteProblem, Routes
from dispatch.routes.solver import searched_routes

NO_SEARCH = (
    "Planned in the order of the morning, each field to the best rig left: the search is not "
    'installed; pip install "pyvrp>=0.14,<0.15" finds better plans'
)

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


def best_routes(problem: RouteProblem, keep_going: GainGoing) -> Found:
    """Search from the plan made by hand, and keep the better of the two.

    Parameters
    ----------
    problem
        What there is to plan.
    keep_going
        Asked before every step; the time is the caller's.
    """
    by_hand = greedy_routes(problem)
    hand_ac = routes_gain_ac(problem, by_hand)
    start = fill_in(problem, by_hand)
    start_ac = routes_gain_ac(problem, start)
    try:
        searched = fill_in(problem, searched_routes(problem, start, keep_going))
    except ImportError:
        return Found(start, "greedy", start_ac, hand_ac, NO_SEARCH)
    searched_ac = routes_gain_ac(problem, searched)
    if searched_ac < start_ac:
        return Found(start, "greedy", start_ac, hand_ac)
    return Found(searched, "searched", searched_ac, hand_ac)
