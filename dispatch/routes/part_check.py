"""Fields in parts, held against their acres in the morning: nothing twice, nothing forgotten.

It reads the finished plan as people do; the planner and its names have no part in it.
"""

from collections import Counter
from collections.abc import Collection, Iterator, Mapping

from dispatch.report import MorningReport
from dispatch.routes.plan import LeftOut, RoutePlan, Stop

#: Acres that rounding may move, for a field left out.
ROUNDING_AC = 0.06
#: Fewest and most parts of a field.
FEWEST, MOST = 2, 4


def check_parts(
    report: MorningReport, plan: RoutePlan, done: Mapping[str, Collection[int]]
) -> list[str]:
    """Sentences, one for each field whose parts do not make it up.

    Parameters
    ----------
    report
        The morning, with every field's acres.
    plan
        The plan as it is handed out.
    done
        Numbers of the parts of a field that were reported done, by its id.
    """
    acres_of = {one.field.id: one.field.acres for one in report.fields}
    stops: dict[str, list[Stop]] = {}
    for day in plan.days:
        for stop in day.stops:
            stops.setdefault(stop.field_id, []).append(stop)
    left: dict[str, list[LeftOut]] = {}
    for one in plan.left_out:
        left.setdefault(one.field_id, []).append(one)
    fields = {*stops, *left}
    return [
        f"{field_id}: {word}"
        for field_id in sorted(fields)
        for word in _field(
            stops.get(field_id, []),
            left.get(field_id, []),
            acres_of.get(field_id),
            set(done.get(field_id, ())),
        )
    ]


def _field(
    stops: list[Stop], left: list[LeftOut], acres: float | None, done: set[int]
) -> Iterator[str]:
    told: list[Stop | LeftOut] = [*stops, *left]
    if all(one.part is None and one.parts is None for one in told):
        if len(told) > 1:
            yield "whole, and there more than once"
        if done:
            yield "whole, though part of it is done"
        return
    counts = {one.parts for one in told}
    (count, *others) = counts
    if others or count is None or not FEWEST <= count <= MOST:
        yield "not all in the same number of parts"
        return
    numbers = Counter(one.part for one in told)
    if any(times > 1 for times in numbers.values()):
        yield "a part of it is there more than once"
    if any(one.part in done for one in stops if one.state == "planned") or any(
        one.part in done for one in left
    ):
        yield "a part that is done is there again"
    wanted = set(range(1, count + 1))
    open_ones = bool(left) or any(one.state == "planned" for one in stops)
    if not {*numbers} <= wanted or (open_ones and {*numbers} | done != wanted):
        yield "its parts do not make it up"
    for one in told:
        rounding = ROUNDING_AC if isinstance(one, LeftOut) else 1e-6
        if acres is not None and abs(one.acres - acres / count) > rounding:
            yield f"part {one.part} has not its share of the acres"
        if f"part {one.part} of {count}" not in one.field_name:
            yield f"part {one.part} is not marked as one"
