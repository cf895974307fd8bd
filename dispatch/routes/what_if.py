"""What one rig more or fewer, or a longer day, would change."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import time

from dispatch.field_figures import Figure
from dispatch.routes.fleet import Fleet
from dispatch.routes.plan import RoutePlan
from dispatch.routes.travel import NamedWays
from dispatch.routes.work import rate_acres_per_hour
from farm.rig import Rig

#: The last minute a day can reach.
DAY_ENDS = time(23, 59)


class WhatIf(Figure):
    """What a plan reaches with so many rigs and so long a day; ``hours_h`` None is as entered."""

    rigs: int
    hours_h: float | None
    as_entered: bool
    fields: int
    left_out: int
    acres: float
    acres_full: float
    worth_ac: float


def cases(fleet: Fleet, rigs: int | None, hours_h: float | None) -> list[tuple[int, float | None]]:
    """Numbers of rigs and hours to compare: as entered first, then what was asked and around it."""
    entered = (len(fleet.rigs), None)
    counts: Sequence[int] = (
        [entered[0]] if rigs is None else [one for one in (rigs - 1, rigs, rigs + 1) if one > 0]
    )
    return list(dict.fromkeys([entered, *((count, hours_h) for count in counts)]))


def with_rigs(fleet: Fleet, count: int, hours_h: float | None) -> Fleet:
    """The farm with so many rigs: fewer leave the slowest, more are like the quickest.

    A rig more brings its own driver. With ``hours_h`` every rig's day lasts so long.
    """
    ordered = sorted(fleet.rigs, key=rate_acres_per_hour, reverse=True)
    first = ordered[0]
    more = [
        first.model_copy(update={"id": f"{first.id}+{extra}", "drivers": ()})
        for extra in range(1, count - len(ordered) + 1)
    ]
    rigs = tuple(_lasting(one, hours_h) for one in (*ordered[:count], *more))
    told_miles, told_min = (
        dict(_with_yards(ways, first, more)) for ways in (fleet.told_miles, fleet.told_min)
    )
    return replace(fleet, rigs=rigs, told_miles=told_miles, told_min=told_min)


def _with_yards(
    ways: NamedWays, first: Rig, more: Sequence[Rig]
) -> Iterator[tuple[tuple[str, str], float]]:
    """What is told of roads, and the same of those from the yard of the rigs like the first."""
    yard = f"yard:{first.id}"
    for (start, end), told in ways.items():
        yield (start, end), told
        if yard in (start, end):
            for other in (f"yard:{one.id}" for one in more):
                yield (other if start == yard else start, other if end == yard else end), told


def _lasting(rig: Rig, hours_h: float | None) -> Rig:
    if hours_h is None:
        return rig
    minutes = rig.day_start.hour * 60 + rig.day_start.minute + round(hours_h * 60)
    ends = DAY_ENDS if minutes >= 24 * 60 else time(minutes // 60, minutes % 60)
    return rig.model_copy(update={"day_end": ends})


def row_of(plan: RoutePlan, rigs: int, hours_h: float | None, *, as_entered: bool) -> WhatIf:
    """One row of the comparison."""
    return WhatIf(
        rigs=rigs,
        hours_h=hours_h,
        as_entered=as_entered,
        fields=plan.fields,
        left_out=len(plan.left_out),
        acres=plan.acres,
        acres_full=plan.acres_full,
        worth_ac=plan.worth_ac,
    )
