"""What leaving fields where they were is to the search: a prize, less what a move costs."""

import numpy as np
import numpy.typing as npt

from dispatch.routes.problem import LOCK_AC, RigDay, RouteProblem

#: Most numbers in the tables of a search that knows where fields stay. Judgement: 0.5 GB.
MOST_NUMBERS = 30_000_000


def stays_searched(problem: RouteProblem) -> bool:
    """Whether the search itself reckons with fields that stay; each rig-day needs a table then.

    Where that would take too much memory, it is reckoned with only when plans are compared.
    """
    numbers = len(problem.rig_days) * len(problem.travel.places) ** 2
    return bool(problem.stays) and problem.settings.stay_ac > 0 and numbers <= MOST_NUMBERS


def most_kept_ac(problem: RouteProblem, job: int) -> float:
    """The most a visit may count for beside its worth [acres]."""
    field_id = problem.jobs[job].field_id
    stays = field_id in problem.stays and stays_searched(problem)
    return problem.settings.stay_ac * stays + LOCK_AC * (field_id in problem.locked)


def moved_cost(problem: RouteProblem, day: RigDay, units_an_acre: int) -> npt.NDArray[np.int64]:
    """What a rig's day loses of that for each field it did not have, shape (fields,)."""
    here = (day.rig.id, day.on)
    moved = [problem.stays.get(one.field_id, here) != here for one in problem.jobs]
    return np.round(units_an_acre * problem.settings.stay_ac * np.array(moved)).astype(np.int64)


def locked_rigs(problem: RouteProblem) -> list[str]:
    """Rigs that fields are locked to, in order."""
    return sorted({one.rig_id for one in problem.locks})
