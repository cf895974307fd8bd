"""Laws of plans that go on from a plan before, over random days of breakdowns and reports."""

from dataclasses import dataclass
from datetime import timedelta
from functools import cache
from typing import Any

from by_force import Steps
from hypothesis import example, given, settings
from hypothesis import strategies as st
from mornings_for_rigs import fleet, good_morning, since
from rig_farms import rig

from dispatch.report import Call, MorningReport
from dispatch.routes.fleet import Fleet
from dispatch.routes.plan import RoutePlan
from dispatch.routes.rig_plan import plan_rigs
from dispatch.routes.standing import Lock, Outage, Standing

FIELDS = [f"f{number}" for number in range(1, 8)]
HOUR = timedelta(hours=1)


@cache
def morning() -> MorningReport:
    return good_morning(len(FIELDS))


def farm(yards: tuple[bool, ...], **told: Any) -> Fleet:
    """Rigs of several sorts; one that fills in its yard has a tank that holds any field."""
    rigs = [
        rig(
            f"r{number}",
            swath_ft=50 + 25 * number,
            tank_gal=1500 if by_yard else 700,
            refill_min=25,
            refill_at="yard" if by_yard else "field",
            yard_latitude=34.4 + number / 20,
            yard_longitude=-100.8,
            drivers=["dell"] if number == 0 else [],
        )
        for number, by_yard in enumerate(yards)
    ]
    return fleet(*rigs, **told)


@cache
def first_plan(yards: tuple[bool, ...]) -> RoutePlan:
    return plan_rigs(morning(), farm(yards), since(), Steps(40))


def places(plan: RoutePlan) -> dict[str, tuple[str, object, object]]:
    return {
        stop.field_id: (day.rig_id, day.on, stop.start_utc)
        for day in plan.days
        for stop in day.stops
    }


@dataclass(frozen=True)
class Day:
    """One random day: how late it is, and what was reported."""

    yards: tuple[bool, ...]
    hours_h: float
    standing: Standing
    calls: dict[str, Call]


@st.composite
def days(draw: st.DrawFn) -> Day:
    yards = tuple(draw(st.lists(st.booleans(), min_size=1, max_size=3)))
    plan = first_plan(yards)
    hours_h = draw(st.floats(0, 8.3))
    now = since(hours_h).now
    planned = [(day, stop) for day in plan.days for stop in day.stops]
    outages = []
    for number in range(len(yards)):
        if draw(st.integers(0, 2)) == 0:
            begins = now + timedelta(hours=draw(st.floats(-6, 30)))
            lasts = draw(st.sampled_from([None, 2.5, 20.0]))
            ends = None if lasts is None else begins + timedelta(hours=lasts)
            outages.append(Outage(f"r{number}", begins, ends))
    some = st.sets(st.sampled_from(FIELDS), max_size=2)
    locked = draw(st.sets(st.integers(0, max(0, len(planned) - 1)), max_size=3))
    locks = [
        Lock(stop.field_id, day.rig_id, day.on, stop.start_utc)
        for at, (day, stop) in enumerate(planned)
        if at in locked
    ]
    missed = draw(some)
    standing = Standing(
        plan=plan,
        sprayed={one: now - timedelta(minutes=5) for one in draw(some) - missed},
        skipped={one: "gate" for one in draw(some) - missed},
        missed=dict.fromkeys(missed, ""),
        outages=tuple(outages),
        locks=tuple(locks),
    )
    calls = dict.fromkeys(draw(some), Call.WAIT)
    return Day(yards, hours_h, standing, calls)


def told_again(day: Day) -> RoutePlan:
    report = morning()
    fields = tuple(
        one.model_copy(update={"call": day.calls.get(one.field.id, one.call)})
        for one in report.fields
    )
    told = report.model_copy(update={"fields": fields})
    asked = since(day.hours_h, standing=day.standing)
    return plan_rigs(told, farm(day.yards), asked, Steps(25))


@settings(max_examples=40, deadline=None)
@given(day=days())
def test_no_plan_breaks_what_stands_and_every_lock_holds_or_says_why(day):
    """The checker runs inside; a plan it threw away leaves its note."""
    plan = told_again(day)
    assert not [one for one in plan.notes if "broke a rule" in one]
    found = {stop.field_id: (one, stop) for one in plan.days for stop in one.stops}
    lines = [one for one in plan.notes if one.startswith("lock ")]
    for lock in day.standing.locks:
        line = [one for one in lines if one.startswith(f"lock {lock.rig_id}/{lock.field_id} ")]
        if lock.field_id in found and not line:
            one, stop = found[lock.field_id]
            assert (one.rig_id, one.on) == (lock.rig_id, lock.on)
            assert abs(stop.start_utc - lock.start_utc) <= timedelta(minutes=30)
        else:
            assert len(line) == 1
    told = {one.field_id for one in plan.changes}
    for field_id, place in places(plan).items():
        before = places(day.standing.plan).get(field_id)
        moved = before is None or before[:2] != place[:2]
        assert not moved or field_id in told
    assert all(one.why for one in plan.changes)


@settings(max_examples=40, deadline=None)
@given(yards=st.lists(st.booleans(), min_size=1, max_size=3).map(tuple), hours_h=st.floats(0, 8.3))
@example(yards=(True,), hours_h=6.0)
def test_the_same_again_moves_nothing_at_whatever_minute(yards, hours_h):
    before = first_plan(yards)
    told = plan_rigs(
        morning(), farm(yards), since(hours_h, standing=Standing(plan=before)), Steps(25)
    )
    assert told.changes == ()
    assert places(told) == places(before)
