"""The stops of whoever drives, in order, and the rigs' days for whoever sends them."""

from datetime import timedelta

from dispatch.report import MorningReport
from dispatch.routes.plan import PlannedDay, RoutePlan, Stop
from dispatch.words import LocalClock, amount, day, plural
from farm.people import Person, Role
from notify.morning_rigs import MorningRigs
from notify.page import Block, Row
from notify.rig_sheet import load_words
from notify.user_text import plain_line, with_stop

YOURS, ALL = "YOUR STOPS", "THE RIGS"
#: Fields not covered that are told by name to a dispatcher; `warmspell routes` has them all.
MOST_LEFT = 6


def stops_block(rigs: MorningRigs | None, person: Person, clock: LocalClock) -> Block | None:
    """What a person is told of the rigs; None for those it does not concern."""
    if rigs is None or not rigs.tells(person):
        return None
    title = ALL if person.role is Role.DISPATCHER else YOURS
    if rigs.plan is None:
        return Block(f"{title} (no plan)", (), (with_stop(rigs.problem),))
    if person.role is Role.DISPATCHER:
        return _all_rigs(rigs.plan, clock)
    return _own_stops(rigs, person, clock)


def _own_stops(rigs: MorningRigs, person: Person, clock: LocalClock) -> Block:
    assert rigs.plan is not None
    days = rigs.days_of(person)
    rows: list[Row] = []
    for one in (one for one in days if one.on == clock.today):
        rows += [_stop_row(one, place, rigs, clock) for place in range(len(one.stops))]
    tomorrow = [one for one in days if one.on == clock.today + timedelta(days=1)]
    rows += [_stop_row(one, 0, rigs, clock, first_of="Tomorrow first: ") for one in tomorrow]
    today = [_out(one, clock) for one in days if one.on == clock.today]
    intro = (*(today or ["None today."]), _made(rigs.plan, clock))
    count = sum(len(one.stops) for one in days if one.on == clock.today)
    return Block(f"{YOURS} ({count})", tuple(rows), intro)


def _all_rigs(plan: RoutePlan, clock: LocalClock) -> Block | None:
    if not plan.days and not plan.left_out:
        return None
    rows = [
        Row(plain_line(one.rig_name), day(one.on), (_day_words(one, clock),)) for one in plan.days
    ]
    left = plan.left_out
    if left:
        named = "; ".join(
            f"{plain_line(one.field_name)}, {amount(one.acres)} ac: {plain_line(one.why)}"
            for one in left[:MOST_LEFT]
        )
        more = f"; {len(left) - MOST_LEFT} more" if len(left) > MOST_LEFT else ""
        acres = amount(sum(one.acres for one in left))
        rows.append(Row("Not covered", f"{acres} ac", (with_stop(named + more),)))
    stops = sum(len(one.stops) for one in plan.days)
    return Block(f"{ALL} ({plural(stops, 'stop')})", tuple(rows), (_made(plan, clock),))


def _made(plan: RoutePlan, clock: LocalClock) -> str:
    at = f" at {clock.hour(plan.made_utc)}" if plan.made_utc else ""
    return f"Planned{at} from the calls below; a later plan replaces it. Ask before you set out."


def _out(one: PlannedDay, clock: LocalClock) -> str:
    return (
        f"{plain_line(one.rig_name)}: out {clock.hour(one.leave_utc)}, back "
        f"{clock.hour(one.back_utc)}; {amount(one.acres)} ac, {amount(one.miles)} mi."
    )


def _day_words(one: PlannedDay, clock: LocalClock) -> str:
    driver = f"{plain_line(one.driver)} drives. " if one.driver else ""
    size = f"{plural(len(one.stops), 'stop')}, {amount(one.acres)} ac, {amount(one.miles)} mi"
    names = ", ".join(f"{plain_line(stop.field_name)}{_mark(stop)}" for stop in one.stops)
    return (
        f"{driver}Out {clock.hour(one.leave_utc)}, back {clock.hour(one.back_utc)}; "
        f"{size}: {names}."
    )


def _stop_row(
    one: PlannedDay, place: int, rigs: MorningRigs, clock: LocalClock, first_of: str = ""
) -> Row:
    stop = one.stops[place]
    numbered = first_of or f"{place + 1}  "
    spray = f"spray {clock.hour(stop.start_utc)} to {clock.hour(stop.end_utc)}{_mark(stop)}"
    return Row(
        f"{numbered}{plain_line(stop.field_name)}", spray, (_stop_words(one, place, rigs, clock),)
    )


def _mark(stop: Stop) -> str:
    """What is to be seen at once of a stop."""
    state = {"planned": "", "under_way": " (under way)", "done": " (done)"}[stop.state]
    return ("" if stop.full else " SHORT") + state


def _stop_words(one: PlannedDay, place: int, rigs: MorningRigs, clock: LocalClock) -> str:
    stop = one.stops[place]
    leave = one.leave_utc if place == 0 else one.stops[place - 1].end_utc
    by_yard = ", by the yard" if stop.by_yard and place else ""
    told = [
        f"Leave {clock.hour(leave)}, {amount(stop.miles)} mi{by_yard}, there "
        f"{clock.hour(stop.arrive_utc)}.",
        f"{amount(stop.acres)} ac, {load_words(one, place, rigs.facts)}.",
        f"Closes {clock.hour(stop.by_utc)}." if stop.by_utc else "",
        f"Clean out before it, {stop.cleanout_min} min." if stop.cleanout_min else "",
        f"Short: {plain_line(stop.lacks)}." if stop.lacks else "",
    ]
    return " ".join(one for one in told if one)


def stops_of(rigs: MorningRigs | None, person: Person, report: MorningReport) -> dict[str, str]:
    """That a stop falls away, by id of its field: those ahead that a person drives or sends."""
    run = report.run
    clock = LocalClock(run.time_zone, run.time_zone, run.local_date)
    if rigs is None or not rigs.tells(person):
        return {}
    sends = person.role is Role.DISPATCHER
    whose, then = ("The stop", "; plan anew with warmspell routes") if sends else ("Your stop", "")
    return {
        stop.field_id: (
            f"{whose} there falls away: {plain_line(one.rig_name)}, "
            f"{clock.moment(stop.start_utc)}{then}."
        )
        for one in rigs.days_of(person)
        for stop in one.stops
        if stop.state != "done" and stop.end_utc > run.made_utc
    }
