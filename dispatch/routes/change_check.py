"""A plan held against what stands: fixed stops, locks, rigs that are out, and the time now.

It reads the plan before and what was reported alone; nothing of the planner has a part in it.
"""

from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta

from dispatch.routes.plan import PlannedDay, RoutePlan, Stop
from dispatch.routes.standing import Lock, Standing

#: What a new plan may say otherwise of a stop that is fixed.
LOOSE = ("state", "locked")


def check_change(
    plan: RoutePlan,
    standing: Standing,
    now: datetime,
    fixed: Iterable[PlannedDay] = (),
    held: Iterable[Lock] = (),
    lock_min: float = 0.0,
) -> list[str]:
    """Sentences, one for each thing that does not hold.

    Parameters
    ----------
    plan
        The new plan.
    standing
        The plan before and what was reported since.
    now
        No stop that is not fixed may begin before it.
    fixed
        The stops that are done or under way, as the plan before has them.
    held
        The locks that were found to hold.
    lock_min
        How far the start of a locked stop may be off [min].
    """
    return [
        *_fixed(plan, standing, now, fixed),
        *_not_before(plan, now),
        *_out(plan, standing),
        *_locks(plan, held, lock_min),
        *_away(plan, standing),
    ]


def _stops(plan: RoutePlan) -> dict[str, tuple[PlannedDay, Stop]]:
    return {stop.field_id: (day, stop) for day in plan.days for stop in day.stops}


def _fixed(
    plan: RoutePlan, standing: Standing, now: datetime, fixed: Iterable[PlannedDay]
) -> Iterator[str]:
    before, after = standing.stops, _stops(plan)
    wanted = {stop.field_id for day in fixed for stop in day.stops}
    for field_id in wanted - set(after):
        yield f"{field_id}: it is done or under way, and the plan leaves it away"
    for field_id, (day, stop) in after.items():
        if stop.state == "planned":
            if field_id in wanted:
                yield f"{field_id}: it is done or under way, and is planned again"
            continue
        if field_id not in before:
            yield f"{field_id}: said to be {stop.state}, and the plan before does not have it"
            continue
        was_day, was = before[field_id]
        same = was.model_dump(exclude=set(LOOSE)) == stop.model_dump(exclude=set(LOOSE))
        if not same or (was_day.rig_id, was_day.on) != (day.rig_id, day.on):
            yield f"{field_id}: it is done or under way, and was changed"


def _not_before(plan: RoutePlan, now: datetime) -> Iterator[str]:
    for field_id, (_, stop) in _stops(plan).items():
        if stop.state == "planned" and stop.start_utc < now:
            yield f"{field_id}: it begins before now"


def _out(plan: RoutePlan, standing: Standing) -> Iterator[str]:
    for field_id, (day, stop) in _stops(plan).items():
        away = standing.outage(day.rig_id, stop.arrive_utc, stop.end_utc)
        if stop.state == "planned" and away is not None:
            yield f"{field_id}: {day.rig_id} is out then"


def _locks(plan: RoutePlan, held: Iterable[Lock], lock_min: float) -> Iterator[str]:
    after = _stops(plan)
    for lock in held:
        if lock.field_id not in after:
            yield f"{lock.field_id}: it is locked, and not planned"
            continue
        day, stop = after[lock.field_id]
        if (day.rig_id, day.on) != (lock.rig_id, lock.on):
            yield f"{lock.field_id}: it is locked to {lock.rig_id} on {lock.on}"
        if abs(stop.start_utc - lock.start_utc) > timedelta(minutes=lock_min):
            yield f"{lock.field_id}: it is locked to its time"


def _away(plan: RoutePlan, standing: Standing) -> Iterator[str]:
    for field_id, (_, stop) in _stops(plan).items():
        if stop.state != "planned":
            continue
        if field_id in standing.sprayed:
            yield f"{field_id}: it was sprayed since the plan before"
        if field_id in standing.skipped:
            yield f"{field_id}: it is skipped"
