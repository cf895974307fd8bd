"""Stops of the plan before that are done or under way: they stay as they are."""

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from agronomy.hourly_forecast import next_whole_hour
from dispatch.report import MorningReport
from dispatch.routes.part_names import field_of
from dispatch.routes.plan import PlannedDay, Stop, StopState
from dispatch.routes.problem import Begun, RigDay
from dispatch.routes.sky_check import check_sky
from dispatch.routes.standing import Standing
from dispatch.routes.work import yard_fill_min
from farm.rig import Rig
from farm.treatment import Treatment


def fixed_days(
    report: MorningReport,
    standing: Standing,
    now: datetime,
    callable_ids: Collection[str],
    rigs: Collection[Rig] = (),
    setup_min: float = 0.0,
) -> tuple[PlannedDay, ...]:
    """Today's stops of the plan before that nothing moves any more, by rig.

    One that begins before the next whole hour, at which new ones may begin, or that its rig is
    on the way to, counts as under way as long as the field is in ``callable_ids`` and the morning
    still bears it out. One whose time is past is fixed too: whether it was sprayed is for people
    to say.
    """
    filling_min = {one.id: yard_fill_min(one) for one in rigs}
    ready_min = {one.id: setup_min + (one.refill_min or 0) for one in rigs}
    if standing.plan is None:
        return ()
    today = now.astimezone(ZoneInfo(standing.plan.time_zone)).date()
    found = []
    for day in standing.plan.days:
        if day.on != today:
            continue
        stops: list[Stop] = []
        leaves = day.leave_utc - timedelta(minutes=filling_min.get(day.rig_id, 0))
        for place, stop in enumerate(day.stops):
            left = leaves if place == 0 else day.stops[place - 1].end_utc
            # Had a rig stayed until now where it was, it would come too late.
            ready = timedelta(minutes=ready_min.get(day.rig_id, 0) + 1)
            late = place == 0 or stop.start_utc < now + (stop.arrive_utc - left) + ready
            soon = stop.start_utc < next_whole_hour(now) or (left <= now and late)
            likely = soon and stop.field_id in callable_ids
            state = _state(report, standing, day, stop, now, likely=likely)
            if state is not None:
                stops.append(stop.model_copy(update={"state": state}))
        if stops:
            found.append(_cut(day, tuple(stops)))
    return tuple(found)


def _state(
    report: MorningReport,
    standing: Standing,
    day: PlannedDay,
    stop: Stop,
    now: datetime,
    *,
    likely: bool,
) -> StopState | None:
    """How far a stop is; None where it can still be planned otherwise.

    ``likely`` marks one that is about to begin.
    """
    if stop.field_id in standing.missed:
        return None
    if stop.field_id in standing.sprayed and stop.start_utc <= now:
        return "done"
    broken = standing.outage(day.rig_id, stop.start_utc, stop.end_utc)
    if stop.field_id in standing.sprayed or stop.field_id in standing.skipped or broken:
        return None
    if stop.start_utc <= now:
        return "under_way"
    if not likely:
        return None
    assert standing.plan is not None
    alone = standing.plan.model_copy(update={"days": (_cut(day, (stop,)),)})
    return None if check_sky(report, alone) else "under_way"


def _cut(day: PlannedDay, stops: tuple[Stop, ...]) -> PlannedDay:
    """The part of a rig's day up to the last of some of its stops."""
    return day.model_copy(
        update={
            "stops": stops,
            "back_utc": stops[-1].end_utc,
            "miles": round(sum(one.miles for one in stops), 2),
            "acres": round(sum(one.acres for one in stops), 2),
        }
    )


def begun_days(
    days: Sequence[RigDay],
    fixed: Collection[PlannedDay],
    standing: Standing,
    start_utc: datetime,
    places: Mapping[str, int],
    mixes: Mapping[str, Treatment],
) -> tuple[RigDay, ...]:
    """The rigs' days, those that have begun from where they are and since when they are free.

    Parameters
    ----------
    days
        What is left of the rigs' days.
    fixed
        What rigs have done or do already.
    standing
        What was reported; a rig that was out since starts from its yard again.
    start_utc
        When the plan begins.
    places
        The place of the travel that each field of ``fixed`` is, by its id.
    mixes
        The treatments by their id.
    """
    begun = {(one.rig_id, one.on): one for one in fixed}
    found = []
    for day in days:
        done = begun.get((day.rig.id, day.on))
        last = done.stops[-1] if done else None
        if done is None or last is None or last.field_id not in places:
            found.append(day)
            continue
        ends = last.end_utc if last.state == "under_way" else start_utc
        free_min = max(day.start_min, math.ceil((ends - start_utc).total_seconds() / 60))
        if free_min >= day.end_min:
            continue
        since = replace(day, start_min=free_min)
        goes_on = start_utc + timedelta(minutes=free_min + 1)
        if standing.outage(day.rig.id, last.arrive_utc, goes_on) is None:
            left_gal = tank_left_gal(done, day.rig.tank_gal, mixes)
            since = replace(since, begun=Begun(places[last.field_id], last.mix_id, left_gal))
        found.append(since)
    return tuple(found)


def tank_left_gal(day: PlannedDay, tank_gal: float | None, mixes: Mapping[str, Treatment]) -> float:
    """What is left in the tank of a rig that fills in its yard [gal], by what was planned."""
    left_gal = 0.0
    for stop in day.stops:
        mix = mixes.get(stop.mix_id)
        rate_gal_ac = mix.gallons_per_acre if mix else None
        left_gal = (tank_gal or 0.0) if stop.by_yard else left_gal
        left_gal -= stop.acres * (rate_gal_ac or 0.0)
    return max(0.0, left_gal)


def log_notes(days: Collection[PlannedDay], report: MorningReport, now: datetime) -> list[str]:
    """What people should know of stops that are fixed: not logged, or called no more."""
    calls = {one.field.id: one for one in report.fields}
    words = []
    for day in days:
        for stop in day.stops:
            if stop.state == "done":
                continue
            if stop.end_utc <= now:
                words.append(
                    f"{stop.field_name}: its time on {day.rig_name} is past and no spray is "
                    f"logged; say warmspell routes done {field_of(stop.field_id)}, or routes missed"
                )
            call = calls.get(field_of(stop.field_id))
            if stop.end_utc > now and (call is None or call.call.value not in ("spray", "short")):
                told = "no longer in the morning" if call is None else f"now {call.call.value}"
                words.append(
                    f"{stop.field_name} is under way on {day.rig_name}, but its call is {told}: "
                    "call the driver"
                )
    return words
