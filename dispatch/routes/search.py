"""The search itself, by the PyVRP library: the same for rigs and for published instances."""

from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pyvrp import ProblemData, Solution

#: Nearest places a move is tried with. Fewer search more plans in the same time; 20 did better
#: than 50 on invented farms.
NEIGHBOURS = 20

#: Asked before every step with the cost of the best so far; the search goes on while it says yes.
KeepGoing = Callable[[int], bool]


def search(
    data: "ProblemData", start: "Solution | None", seed: int, keep_going: KeepGoing
) -> "Solution":
    """The best solution found until ``keep_going`` says no.

    Parameters
    ----------
    data
        The instance, in PyVRP's own form.
    start
        Where to start from, or None for a random place.
    seed
        The same seed and number of steps give the same solution.
    keep_going
        When to stop; the time is the caller's.

    Raises
    ------
    ImportError
        PyVRP is not installed, or is one whose names have changed.
    """
    from pyvrp import SolveParams, solve
    from pyvrp.search import NeighbourhoodParams

    params = SolveParams(neighbourhood=NeighbourhoodParams(num_neighbours=NEIGHBOURS))
    found = solve(
        data,
        lambda best_cost: not keep_going(best_cost),
        seed=seed,
        collect_stats=False,
        display=False,
        params=params,
        initial_solution=start,
    )
    return found.best
