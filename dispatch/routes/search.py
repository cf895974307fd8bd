"""The search itself, by the PyVRP library: the same for rigs and for published instances."""

from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pyvrp import ProblemData, Solution

#: Nearest places a move is tried with, most changes made at once to get away from a plan, and
#: how many steps back a worse plan is still taken from. The wide search came nearest to the best
#: known plans of published instances of 100 places; with thousands of windows there is no time
#: for it, and the narrow one, chosen on an invented region of one seed, was better on others too.
WIDE, NARROW = (20, 25, 300), (40, 10, 100)

#: Clients from which the search is narrow.
MANY_CLIENTS = 1_000

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
    from pyvrp import IteratedLocalSearchParams, SolveParams, solve
    from pyvrp.search import NeighbourhoodParams, PerturbationParams

    neighbours, changes, steps_back = NARROW if data.num_clients >= MANY_CLIENTS else WIDE
    params = SolveParams(
        ils=IteratedLocalSearchParams(history_length=steps_back),
        neighbourhood=NeighbourhoodParams(num_neighbours=neighbours),
        perturbation=PerturbationParams(1, changes),
    )
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
