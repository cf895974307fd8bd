"""What a plan does otherwise than the plan before it, and why: from what is known to have changed.

A reason is never guessed: where no fact speaks for a move, it is told to be a better plan overall.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from dispatch.report import MorningReport
from dispatch.routes.kept import clock_of, out_words
from dispatch.routes.part_names import field_of
from dispatch.routes.plan import Change, PlannedAt, PlannedDay, RoutePlan, Stop
from dispatch.routes.problem import FieldJob, RouteProblem
from dispatch.routes.sky_check import check_sky
from dispatch.routes.standing import Standing
from dispatch.words import WEEKDAYS, LocalClock, amount

#: A start that moves by less is not told [min].
TOLD_MIN = 5
#: How long after an outage a rig may set out late by it.
LATE_BY = timedelta(hours=2)
#: Effect that counts as fallen [points].
FALLEN_POINTS = 1.0

_Told = tuple[PlannedDay, Stop]


@dataclass(frozen=True, eq=False)
class Facts:
    """What a plan was made from. ``gone`` says why fields are not to be planned any more,
    ``more_ac`` what the plan brings above the plan before as far as that still works out.
    """

    report: MorningReport
    problem: RouteProblem
    standing: Standing
    gone: Mapping[str, str]
    more_ac: float


def changes(facts: Facts, plan: RoutePlan) -> tuple[Change, ...]:
    """Every field that moved, fell out, or is new, in the order of the plan before."""
    if facts.standing.plan is None:
        return ()
    before = facts.standing.stops
    after = {stop.field_id: (day, stop) for day in plan.days for stop in day.stops}
    found = [_change(facts, plan, after, told) for told in before.values()]
    new = [_new(facts, after, told) for name, told in after.items() if name not in before]
    return tuple(one for one in (*found, *new) if one is not None)


def _change(facts: Facts, plan: RoutePlan, after: Mapping[str, _Told], was: _Told) -> Change | None:
    stop = was[1]
    now = after.get(stop.field_id)
    why = next(_reasons(facts, was, moved=now is not None), None)
    if now is None:
        left = next((one.why for one in plan.left_out if one.field_id == stop.field_id), "")
        if stop.state == "done" or not (why or left):
            return None
        why = why or _taken(facts.standing, after, was)
        told = "; ".join(dict.fromkeys(one for one in (why, left) if one))
        return _told(stop, "dropped", _at(was), None, told)
    if now[1].state != "planned" or _stays(was, now):
        return None
    why = why or _neighbours(facts, after, was, now) or _back(facts, now)
    why = why or _overall(facts, stop, now[1])
    return _told(stop, "moved", _at(was), _at(now), why)


def _new(facts: Facts, after: Mapping[str, _Told], now: _Told) -> Change:
    plan = facts.standing.plan
    assert plan is not None
    stop = now[1]
    ids = (stop.field_id, field_of(stop.field_id))
    before = next((one.why for one in plan.left_out if one.field_id in ids), None)
    if before is None:
        whole = ids[1] in facts.standing.stops
        why = "it is planned in parts now" if whole else "called since the plan before"
        return _told(stop, "new", None, _at(now), why)
    gone = _left(facts.standing, after, now)
    made = f"room made: {gone} is no longer there" if gone else None
    room = _back(facts, now) or made or _overall(facts)
    return _told(stop, "new", None, _at(now), f"{room} (left out before: {before})")


def _told(
    stop: Stop, what: str, before: PlannedAt | None, after: PlannedAt | None, why: str
) -> Change:
    return Change.model_validate(
        {
            "field_id": stop.field_id,
            "field_name": stop.field_name,
            "what": what,
            "before": before,
            "after": after,
            "why": why,
        }
    )


def _at(told: _Told) -> PlannedAt:
    day, stop = told
    return PlannedAt(rig_id=day.rig_id, rig_name=day.rig_name, on=day.on, start_utc=stop.start_utc)


def _stays(was: _Told, now: _Told) -> bool:
    moved = abs(now[1].start_utc - was[1].start_utc)
    return _rig_day(was) == _rig_day(now) and moved <= timedelta(minutes=TOLD_MIN)


def _rig_day(told: _Told) -> tuple[str, date]:
    return told[0].rig_id, told[0].on


def _reasons(facts: Facts, was: _Told, *, moved: bool) -> Iterator[str]:
    """Facts that keep a field from staying where it was, the plainest first."""
    day, stop = was
    standing, problem = facts.standing, facts.problem
    clock = clock_of(problem)
    if stop.field_id in standing.sprayed:
        yield f"sprayed {clock.weekday_moment(standing.sprayed[stop.field_id])}"
    if not moved and stop.field_id in facts.gone:
        yield facts.gone[stop.field_id]
    if stop.field_id in standing.missed:
        why = standing.missed[stop.field_id]
        yield "it was not sprayed then" + (f": {why}" if why else "")
    broken = standing.outage(day.rig_id, stop.arrive_utc, stop.end_utc)
    if broken is not None:
        yield out_words(day.rig_name, broken, clock)
    if stop.start_utc < problem.start_utc:
        yield "its time has passed and no spray is logged"
    if _rig_day(was) not in {(one.rig.id, one.on) for one in problem.rig_days}:
        yield f"{day.rig_name} does not work {WEEKDAYS[day.on.weekday()]} any more"
    job = next((one for one in problem.jobs if one.field_id == stop.field_id), None)
    if job is not None:
        yield from _of_windows(facts, was, job)


def _of_windows(facts: Facts, was: _Told, job: FieldJob) -> Iterator[str]:
    """Why the hours a field had are not what they were."""
    day, stop = was
    problem = facts.problem
    rig = next((one for one in problem.rigs if one.id == day.rig_id), None)
    start_min, end_min = (
        (moment - problem.start_utc).total_seconds() / 60
        for moment in (stop.start_utc, stop.end_utc)
    )
    holding = [
        one
        for one in job.windows
        if one.open_min <= start_min <= one.last_start_min
        and end_min <= one.close_min
        and (rig is None or rig.kind in one.kinds)
    ]
    if not holding:
        yield f"its window then is gone{_sky_words(facts, was)}"
        return
    if stop.full and not any(one.full for one in holding):
        yield f"its window then is no longer full: {holding[0].lacks or 'part of a window'}"
    best_pct = max(one.effect_pct for one in holding)
    if best_pct < stop.effect_pct - FALLEN_POINTS:
        yield f"its effect then fell from {stop.effect_pct:.0f} to {best_pct:.0f}"


def _sky_words(facts: Facts, was: _Told) -> str:
    plan = facts.standing.plan
    assert plan is not None
    day, stop = was
    alone = plan.model_copy(update={"days": (day.model_copy(update={"stops": (stop,)}),)})
    wheels = {one.id for one in facts.problem.rigs if one.kind == "ground"}
    found = check_sky(facts.report, alone, wheels, facts.problem.settings.wet_ground_h)
    return ": " + found[0].removeprefix(f"{stop.field_id}: ") if found else ""


def _neighbours(facts: Facts, after: Mapping[str, _Told], was: _Told, now: _Told) -> str | None:
    """Which other field took its time, came before it, or made room for it."""
    taken = _taken(facts.standing, after, was)
    if taken:
        return taken
    if _rig_day(was) == _rig_day(now) and now[1].start_utc > was[1].start_utc:
        return _pushed(facts, was, now)
    gone = _left(facts.standing, after, now)
    if gone:
        return f"room made: {gone} is no longer on {now[0].rig_name} {_weekday(now)}"
    done = [one.field_name for one in now[0].stops if one.state == "done"]
    return f"{done[-1]} is done" if done and _rig_day(was) == _rig_day(now) else None


def _taken(standing: Standing, after: Mapping[str, _Told], was: _Told) -> str | None:
    """Which field that was not there before has its time now."""
    day, stop = was
    came = [
        other.field_name
        for its_day, other in after.values()
        if (its_day.rig_id, its_day.on) == _rig_day(was)
        and other.field_id != stop.field_id
        and other.start_utc < stop.end_utc
        and other.end_utc > stop.arrive_utc
        and not _was_there(standing, other.field_id, _rig_day(was))
    ]
    return f"its time on {day.rig_name} goes to {came[0]}" if came else None


def _pushed(facts: Facts, was: _Told, now: _Told) -> str | None:
    """What comes before a field on the same rig's day that makes it later."""
    standing, before = facts.standing, []
    for other in now[0].stops:
        if other.field_id == now[1].field_id:
            break
        before.append(other)
        if not _was_there(standing, other.field_id, _rig_day(now)):
            return f"{other.field_name} comes before it now"
    for other in reversed(before):
        old = standing.stops[other.field_id][1]
        if old.start_utc > was[1].start_utc:
            return f"{other.field_name} comes before it now"
        if other.end_utc > old.end_utc:
            return f"{other.field_name} before it is done later"
    # A rig that was out until shortly before sets out late.
    leaves = now[0].leave_utc
    out = standing.outage(now[0].rig_id, leaves - LATE_BY, leaves)
    return out_words(now[0].rig_name, out, clock_of(facts.problem)) if out else None


def _left(standing: Standing, after: Mapping[str, _Told], now: _Told) -> str | None:
    """A field that was on a stop's rig and day, ended no later, and is not there any more."""
    for name, was in standing.stops.items():
        if name == now[1].field_id or _rig_day(was) != _rig_day(now):
            continue
        there = after.get(name)
        away = there is None or _rig_day(there) != _rig_day(now)
        if away and was[1].start_utc <= now[1].end_utc:
            return was[1].field_name
    return None


def _was_there(standing: Standing, field_id: str, rig_day: tuple[str, date]) -> bool:
    was = standing.stops.get(field_id)
    return was is not None and _rig_day(was) == rig_day


def _weekday(told: _Told) -> str:
    return WEEKDAYS[told[0].on.weekday()]


def _back(facts: Facts, now: _Told) -> str | None:
    """A rig that works again since the plan before was made."""
    plan, (day, stop) = facts.standing.plan, now
    for one in facts.standing.outages:
        until = one.until_utc
        if one.rig_id != day.rig_id or until is None or until > stop.arrive_utc:
            continue
        if plan and plan.made_utc and until >= plan.made_utc:
            return f"{day.rig_name} is back from {clock_of(facts.problem).weekday_moment(until)}"
    return None


def _overall(facts: Facts, was: Stop | None = None, now: Stop | None = None) -> str:
    if facts.more_ac >= 0.05:
        return f"a better plan overall: +{amount(facts.more_ac)} acres at full effect"
    if was and now and now.effect_pct > was.effect_pct:
        return f"its effect is higher then: {now.effect_pct:.1f} against {was.effect_pct:.1f}"
    return "the rigs' days were reckoned anew"


def change_words(one: Change, clock: LocalClock) -> tuple[str, str]:
    """How a field changed, and why."""

    def told(place: PlannedAt) -> str:
        return f"{place.rig_name} {clock.weekday_moment(place.start_utc)}"

    if one.before and one.after:
        return f"moved from {told(one.before)} to {told(one.after)}", one.why
    if one.before:
        return f"dropped from {told(one.before)}", one.why
    return f"new, {told(one.after)}" if one.after else "new", one.why


def gone_words(
    report: MorningReport, standing: Standing, left: Mapping[str, str], jobs: Sequence[FieldJob]
) -> dict[str, str]:
    """Why fields of the plan before are not to be planned any more, by id."""
    calls = {one.field.id: one for one in report.fields}
    planned = {one.field_id for one in jobs}
    fields = {field_of(name) for name in planned}
    words = {}
    for field_id in standing.stops:
        if field_id in planned:
            continue
        call = calls.get(field_of(field_id))
        why = left.get(field_id) or left.get(field_of(field_id))
        if why is not None:
            words[field_id] = why
        elif field_id in standing.sprayed:
            words[field_id] = "it is sprayed"
        elif field_of(field_id) in fields:
            words[field_id] = "it is planned in other parts now"
        elif call is None:
            words[field_id] = "it is not in the morning any more"
        elif call.standing != "open":
            words[field_id] = f"it is {call.standing} now"
        else:
            words[field_id] = f"its call is now {call.call.value}"
    return words
