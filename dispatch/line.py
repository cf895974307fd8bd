"""The line of fields waiting for a rig: how many rig-hours stand in it, how many days it takes."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from agronomy.capacity import acres_per_hour
from dispatch.policy import DispatchPolicy
from dispatch.readiness import Readiness
from farm.field import Field
from farm.rig import Rig

#: Rate taken for a farm that has no rig registered yet [acres/h]. Judgement.
NOMINAL_ACRES_PER_HOUR = 60.0


@dataclass(frozen=True)
class Line:
    """The line this morning. ``days`` is at least 1 and is rounded up."""

    days: int
    rig_hours: float
    usable_rig_hours_a_day: float
    fields: int
    acres_per_rig_hour: float


def rig_hours(acres: float, rate_acres_per_hour: float, setup_h: float) -> float:
    """Rig time one field takes [h]: spraying, and moving to it."""
    return acres / rate_acres_per_hour + setup_h


def fleet_rate(rigs: Sequence[Rig]) -> float:
    """Mean acres an hour of the rigs; `NOMINAL_ACRES_PER_HOUR` where none is registered."""
    if not rigs:
        return NOMINAL_ACRES_PER_HOUR
    rates = [acres_per_hour(one.speed_mph, one.swath_ft, one.efficiency_frac) for one in rigs]
    return float(sum(rates) / len(rates))


def line_of(
    unsprayed: Sequence[Field],
    readiness: Mapping[str, Readiness],
    rigs: Sequence[Rig],
    policy: DispatchPolicy,
) -> Line:
    """Count the line: unsprayed fields mature now or within ``policy.queue_reach_days``.

    Fields are counted on their last counts, however old, at normal heat from today; a field
    never counted is not in line. So a record that is lost can only shorten the line, and with it
    the cost of waiting.
    """
    rate = fleet_rate(rigs)
    waiting = [
        one
        for one in unsprayed
        if (days := readiness[one.id].days_to_ready) is not None and days <= policy.queue_reach_days
    ]
    hours = sum(rig_hours(one.acres, rate, policy.setup_h) for one in waiting)
    usable = max(1, len(rigs)) * policy.spray_day_h * policy.usable_share_frac
    return Line(
        days=max(1, math.ceil(hours / usable)),
        rig_hours=hours,
        usable_rig_hours_a_day=usable,
        fields=len(waiting),
        acres_per_rig_hour=rate,
    )
