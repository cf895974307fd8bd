"""Whether a plan of rigs still stands, and how each of its stops does."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from dispatch.report import Call, FieldCall, MorningReport
from dispatch.routes.called import Since
from dispatch.routes.plan import PlannedDay, RoutePlan, Stop
from dispatch.words import LocalClock
from notify.user_text import plain_line
from web.order_rows import call_word, overtaken

#: How a stop stands now: "gone" where nobody is to spray it, "past" where its time is over and
#: nobody has said whether it was sprayed.
StopMark = Literal["planned", "under_way", "done", "past", "skipped", "gone"]


@dataclass(frozen=True)
class StopStanding:
    """How a stop stands, and why; ``words`` say nothing of one that stands as planned."""

    mark: StopMark
    words: str = ""


def plan_clock(plan: RoutePlan, report: MorningReport, now: datetime) -> LocalClock:
    """Times as they are told of a plan, as of the day it is now."""
    zone = report.run.time_zone
    today = LocalClock(plan.time_zone, zone, report.run.local_date).local(now).date()
    return LocalClock(plan.time_zone, zone, today)


def older_than_morning(plan: RoutePlan, report: MorningReport, clock: LocalClock) -> str:
    """Why a plan does not go by the newest morning; "" where it does."""
    if plan.morning_utc == report.run.made_utc:
        return ""
    made = clock.moment(plan.made_utc or plan.start_utc)
    return f"This plan of the rigs was made {made}, before the newest morning. Plan again"


def stop_standing(
    day: PlannedDay, stop: Stop, calls: Mapping[str, FieldCall], since: Since, now: datetime
) -> StopStanding:
    """How a stop of the plan kept last stands now.

    Parameters
    ----------
    day, stop
        The stop, and the rig's day it is of.
    calls
        The calls of the newest morning, by field.
    since
        What happened since that morning and since the plan.
    now
        The time now.
    """
    standing, one = since.standing, calls.get(stop.field_id)
    if stop.field_id in standing.sprayed or stop.field_id in since.sprayed:
        return StopStanding("done", "done: a spray is logged")
    if one is not None and one.standing == "sprayed" and stop.state == "done":
        return StopStanding("done", "done: a spray is logged")
    if stop.field_id in standing.skipped:
        return StopStanding("skipped", _because("skipped", standing.skipped[stop.field_id]))
    if stop.field_id in standing.missed:
        return StopStanding("gone", _because("not sprayed", standing.missed[stop.field_id]))
    gone = _gone(one, since)
    begun = stop.start_utc <= now
    if begun and stop.end_utc > now:
        return (
            StopStanding("under_way", f"under way by the plan, but {gone}: call the driver")
            if (gone)
            else StopStanding("under_way", "under way by the plan")
        )
    if begun:
        return StopStanding("past", "its time is past and no spray is logged")
    if gone:
        return StopStanding("gone", gone)
    out = standing.outage(day.rig_id, stop.start_utc, stop.end_utc)
    if out is not None:
        return StopStanding("gone", _because("the rig is out", out.why))
    return StopStanding("planned")


def _gone(one: FieldCall | None, since: Since) -> str:
    """Why nobody is to spray a field now; "" where its call stands."""
    if one is None:
        return "it is not in the newest morning"
    if one.call not in (Call.SPRAY, Call.SHORT) or one.held_for_harvest:
        return f"its call is now {call_word(one)}"
    told = overtaken(one, since)
    return f"its call is overtaken: {plain_line(told)}" if told else ""


def _because(what: str, why: str) -> str:
    return f"{what}: {plain_line(why)}" if why else what
