"""Rigs that take about as long for a field, put together so that the search stays small."""

from itertools import pairwise

from dispatch.routes.problem import RouteProblem
from farm.rig import Rig, RigKind

#: Most classes of rigs of one kind. With as many sorts of rigs or fewer the search knows the end
#: of every window to the minute; with more it reckons with the slowest of each class.
MOST_CLASSES = 3


def work_classes(problem: RouteProblem) -> dict[str, int]:
    """The class of each rig, by its id; rigs on wheels and in the air are never in one."""
    found: dict[str, int] = {}
    kinds: tuple[RigKind, ...] = ("ground", "air")
    for kind in kinds:
        rigs = [rig for rig in problem.rigs if rig.kind == kind]
        for members in _parted(problem, rigs):
            number = len(set(found.values()))
            found |= {rig.id: number for rig in members}
    return found


def _parted(problem: RouteProblem, rigs: list[Rig]) -> list[list[Rig]]:
    """Rigs by the time they take for all fields, parted at the widest gaps."""

    def total_min(rig: Rig) -> int:
        return sum(problem.spray_min[rig.id])

    ordered = sorted(rigs, key=lambda rig: (total_min(rig), rig.id))
    gaps = sorted(
        range(1, len(ordered)),
        key=lambda place: total_min(ordered[place]) - total_min(ordered[place - 1]),
        reverse=True,
    )
    wide = [at for at in gaps if total_min(ordered[at]) > total_min(ordered[at - 1])]
    cuts = sorted(wide[: MOST_CLASSES - 1])
    edges = [0, *cuts, len(ordered)]
    return [ordered[start:end] for start, end in pairwise(edges) if start < end]
