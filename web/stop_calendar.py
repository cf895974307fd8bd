"""Stops of the rigs as calendar entries; those that do not stand any more as cancelled."""

from collections.abc import Callable, Mapping
from datetime import datetime

from dispatch.report import FieldCall
from dispatch.routes.calendar import plan_ics
from dispatch.routes.called import Since
from dispatch.routes.plan import Change, PlannedAt, PlannedDay, RoutePlan, Stop
from web.rig_standing import stop_standing


def stops_ics(
    plan: RoutePlan,
    calls: Mapping[str, FieldCall],
    since: Since,
    now: datetime,
    revision: int,
    *,
    farm_name: str,
    rig_id: str,
    hide: Callable[[str], str] | None,
) -> str:
    """The stops at the fields of ``calls``, as text of an iCalendar file.

    Parameters
    ----------
    plan
        The plan kept last.
    calls
        The calls of the newest morning that the reader may see, by field.
    since
        What happened since.
    now
        The time now.
    revision
        Rises whenever what is told here may have changed.
    rig_id
        The one rig that is told of; "" for all.
    hide
        For who may not see all: leaves out what names others. They read times alone.
    """
    days, lost = [], []
    for day in plan.days:
        kept = []
        for stop in day.stops:
            if hide is not None and stop.field_id not in calls:
                continue
            standing = stop_standing(day, stop, calls, since, now)
            if standing.mark in ("gone", "skipped"):
                lost.append(_lost(day, stop, standing.words))
            else:
                kept.append(stop)
        days.append(day.model_copy(update={"stops": tuple(kept)}))
    # Forecasts grow old without a record that says so.
    told = plan.model_copy(
        update={
            "days": tuple(days),
            "changes": (*_changes(plan, calls, hide), *lost),
            "revision": 2 * revision + bool(lost),
        }
    )
    only = rig_id or None
    return plan_ics(told, farm_name, now, only, times_only=hide is not None)


def _changes(
    plan: RoutePlan, calls: Mapping[str, FieldCall], hide: Callable[[str], str] | None
) -> list[Change]:
    if hide is None:
        return list(plan.changes)
    own = (one for one in plan.changes if one.field_id in calls)
    return [one.model_copy(update={"why": hide(one.why)}) for one in own]


def _lost(day: PlannedDay, stop: Stop, why: str) -> Change:
    before = PlannedAt(
        rig_id=day.rig_id, rig_name=day.rig_name, on=day.on, start_utc=stop.start_utc
    )
    return Change(
        field_id=stop.field_id, field_name=stop.field_name, what="dropped", before=before, why=why
    )
