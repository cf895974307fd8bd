"""Fields that no single visit can finish: planned in parts of equal acres, each a job of its own.

The planner knows a part by a name of its own in place of its field's; what goes in and comes out
of it is turned here. Two parts of a field may go to different rigs and days.
"""

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import replace
from typing import Any, TypeVar

from dispatch.routes.part_names import field_of, job_id, named_part, part_of
from dispatch.routes.plan import Change, LeftOut, PlannedDay, RoutePlan, Stop
from dispatch.routes.problem import FieldJob, RouteProblem, Visit
from dispatch.routes.standing import Standing
from dispatch.routes.timing import timed_day

_Told = TypeVar("_Told")
_Placed = TypeVar("_Placed", Stop, LeftOut, Change)

#: Most parts a field is planned in. Judgement: more are more visits than anybody keeps apart.
MOST_PARTS = 4


def in_parts(one: FieldJob, parts: int) -> tuple[FieldJob, ...]:
    """A whole field as so many parts of equal acres."""
    gallons = None if one.gallons is None else one.gallons / parts
    return tuple(
        replace(
            one,
            field_id=job_id(one.field_id, part, parts),
            name=named_part(one.name, part, parts),
            acres=one.acres / parts,
            gallons=gallons,
        )
        for part in range(1, parts + 1)
    )


def parted_jobs(problem: RouteProblem) -> tuple[FieldJob, ...]:
    """The jobs of a problem, with those fields in parts that no visit of any rig can finish.

    A field of which even a quarter cannot be finished stays whole.
    """
    jobs = problem.jobs
    large = {
        place
        for place, one in enumerate(jobs)
        if one.windows and part_of(one.field_id) is None and not _fits(problem, place)
    }
    parts: dict[int, int] = {}
    for count in range(2, MOST_PARTS + 1) if large else ():
        tried = (
            in_parts(one, count)[0] if place in large else one for place, one in enumerate(jobs)
        )
        # One problem for all fields, since what rigs need for each field is reckoned once in it.
        shared = replace(problem, jobs=tuple(tried))
        fitting = {place for place in large if _fits(shared, place)}
        parts |= dict.fromkeys(fitting, count)
        large -= fitting
    return tuple(
        part
        for place, one in enumerate(jobs)
        for part in (in_parts(one, parts[place]) if place in parts else (one,))
    )


def _fits(problem: RouteProblem, place: int) -> bool:
    """Whether some rig can go out for that job alone, finish it and come back."""
    return any(
        timed_day(problem, day, (Visit(place, window),)) is not None
        for day in problem.rig_days
        for window in problem.windows_on(day, place)
    )


def pinned_parts(standing: Standing, settled: Collection[str]) -> dict[str, int]:
    """In how many parts fields must stay, since some of them are done or under way, by field."""
    told = [part_of(name) for name in settled]
    pinned = {field_of(name): found[1] for name, found in zip(settled, told, strict=True) if found}
    return {**pinned, **{field_of(name): part_of(name)[1] for name in standing.parts_done}}  # type: ignore[index]


def with_pinned(
    jobs: Collection[FieldJob], pinned: Mapping[str, int], away: Collection[str]
) -> tuple[FieldJob, ...]:
    """The jobs with pinned fields in their parts, and without those parts that are ``away``."""
    parted = (
        part
        for one in jobs
        for part in (in_parts(one, pinned[one.field_id]) if one.field_id in pinned else (one,))
    )
    return tuple(one for one in parted if one.field_id not in away)


def left_in_parts(
    left: Collection[LeftOut], pinned: Mapping[str, int], away: Collection[str]
) -> tuple[LeftOut, ...]:
    """Fields left out, those with parts done or under way by the parts that are not."""

    def told(one: LeftOut) -> Iterator[LeftOut]:
        parts = pinned.get(one.field_id)
        for part in range(1, parts + 1) if parts else ():
            name = job_id(one.field_id, part, parts)
            if name not in away:
                acres = round(one.acres / (parts or 1), 1)
                said = named_part(one.field_name, part, parts or 1)
                yield one.model_copy(update={"field_id": name, "field_name": said, "acres": acres})
        if not parts:
            yield one

    return tuple(part for one in left for part in told(one))


def by_jobs(standing: Standing) -> Standing:
    """What stands, with every part under its own name; what is told of a field holds for all."""
    plan = None if standing.plan is None else _turned(standing.plan, _named)
    parts = [
        stop.field_id
        for day in (plan.days if plan else ())
        for stop in day.stops
        if part_of(stop.field_id)
    ]

    def spread(told: Mapping[str, _Told]) -> dict[str, _Told]:
        more = {name: told[field_of(name)] for name in parts if field_of(name) in told}
        return {**told, **more}

    return replace(
        standing,
        plan=plan,
        sprayed={**spread(standing.sprayed), **standing.parts_done},
        skipped=spread(standing.skipped),
        missed=spread(standing.missed),
    )


def by_fields(plan: RoutePlan) -> RoutePlan:
    """The plan as people read it: parts under the name of their field, and marked."""
    turned = _turned(plan, _marked)
    fields = {stop.field_id for day in turned.days for stop in day.stops}
    return turned.model_copy(update={"fields": len(fields)})


def _named(one: _Placed) -> _Placed:
    return one.model_copy(update={"field_id": job_id(one.field_id, one.part, one.parts)})


def _marked(one: _Placed) -> _Placed:
    told = part_of(one.field_id)
    if told is None:
        return one
    update = {"field_id": field_of(one.field_id), "part": told[0], "parts": told[1]}
    return one.model_copy(update=update)


def _turned(plan: RoutePlan, turn: Callable[[Any], Any]) -> RoutePlan:
    def day_of(day: PlannedDay) -> PlannedDay:
        return day.model_copy(update={"stops": tuple(turn(stop) for stop in day.stops)})

    return plan.model_copy(
        update={
            "days": tuple(day_of(day) for day in plan.days),
            "left_out": tuple(turn(one) for one in plan.left_out),
            "changes": tuple(turn(one) for one in plan.changes),
        }
    )
