"""Fields that no single visit can finish: planned in parts, none twice and none forgotten."""

from dataclasses import replace
from datetime import timedelta

import pytest
from by_force import Steps
from hypothesis import given, settings
from hypothesis import strategies as st
from mornings_for_rigs import fleet, good_morning, since
from rig_farms import rig

from dispatch.report import MorningReport
from dispatch.routes.part_check import check_parts
from dispatch.routes.part_names import job_id
from dispatch.routes.plan import RoutePlan
from dispatch.routes.rig_plan import plan_rigs
from dispatch.routes.standing import Standing

#: 15 acres in an hour: 8.25 mph, 15 ft. Arithmetic on 5280 and 43560.
SLOW = rig("slow", swath_ft=15, tank_gal=4000, refill_min=0, drivers=())


def grown(acres: float, count: int = 3) -> MorningReport:
    """A good morning whose first field has so many acres."""
    report = good_morning(count)
    (first, *others) = report.fields
    big = first.model_copy(update={"field": first.field.model_copy(update={"acres": acres})})
    return report.model_copy(update={"fields": (big, *others)})


REPORT = grown(100)
BIG = REPORT.fields[0].field.id


def parts_of(plan: RoutePlan, field_id: str) -> dict[int | None, float]:
    return {
        stop.part: stop.acres
        for one in plan.days
        for stop in one.stops
        if stop.field_id == field_id
    }


def longest_visit_ac(report: MorningReport) -> float:
    """Most acres the slow rig sprays in one visit, found by trying."""
    for acres in range(200, 0, -5):
        plan = plan_rigs(grown(float(acres), 1), fleet(SLOW), since(), Steps(1))
        if None in parts_of(plan, BIG):
            return float(acres)
    raise AssertionError("not even 5 acres are sprayed in one visit")


LONGEST_AC = longest_visit_ac(REPORT)


@pytest.fixture(scope="module")
def halves() -> RoutePlan:
    """A plan of a field half as large again as a visit can finish."""
    return plan_rigs(grown(1.5 * LONGEST_AC, 1), fleet(SLOW), since(), Steps(50))


def test_a_field_that_a_visit_finishes_is_planned_whole():
    plan = plan_rigs(grown(LONGEST_AC, 1), fleet(SLOW), since(), Steps(20))
    assert parts_of(plan, BIG) == {None: LONGEST_AC}
    assert [one.field_name for one in plan.days[0].stops] == [REPORT.fields[0].field.name]


def test_a_larger_one_is_planned_in_as_few_equal_parts_as_can_be_finished(halves):
    name = REPORT.fields[0].field.name
    assert parts_of(halves, BIG) == {1: 0.75 * LONGEST_AC, 2: 0.75 * LONGEST_AC}
    assert halves.fields == 1
    assert halves.acres == pytest.approx(1.5 * LONGEST_AC, abs=0.01)
    names = {stop.field_name for one in halves.days for stop in one.stops}
    assert names == {f"{name}, part 1 of 2", f"{name}, part 2 of 2"}
    thirds = plan_rigs(grown(2.9 * LONGEST_AC, 1), fleet(SLOW), since(), Steps(20))
    told = [one.parts for one in thirds.left_out] + [
        stop.parts for one in thirds.days for stop in one.stops
    ]
    assert told == [3, 3, 3]


def test_each_part_lies_in_one_window_of_one_rigs_day(halves):
    for one in halves.days:
        for stop in one.stops:
            assert stop.end_utc <= stop.by_utc
            hours = (stop.end_utc - stop.start_utc) / timedelta(hours=1)
            assert hours >= stop.acres / 15 - 0.02


def test_a_field_too_large_for_four_parts_stays_whole_and_is_told_why():
    plan = plan_rigs(grown(4.5 * LONGEST_AC, 1), fleet(SLOW), since(), Steps(20))
    (left,) = plan.left_out
    assert (left.part, left.parts) == (None, None)
    assert "the quickest rig needs" in left.why
    assert plan.days == ()


def test_parts_that_find_no_room_are_told_not_covered():
    plan = plan_rigs(grown(1.5 * LONGEST_AC, 1), fleet(SLOW, days=1), since(), Steps(50))
    (left,) = plan.left_out
    assert set(parts_of(plan, BIG)) | {left.part} == {1, 2}
    assert left.field_id == BIG
    assert left.acres == pytest.approx(0.75 * LONGEST_AC, abs=0.05)
    assert left.field_name.endswith(f"part {left.part} of 2")


def test_two_rigs_share_a_field():
    second = SLOW.model_copy(update={"id": "second"})
    plan = plan_rigs(grown(1.5 * LONGEST_AC, 1), fleet(SLOW, second, days=1), since(), Steps(50))
    assert {one.rig_id for one in plan.days} == {"slow", "second"}
    assert set(parts_of(plan, BIG)) == {1, 2}


def after(plan: RoutePlan, **told: object) -> Standing:
    return Standing(plan=plan, **told)  # type: ignore[arg-type]


def test_the_same_again_moves_nothing(halves):
    again = plan_rigs(
        grown(1.5 * LONGEST_AC, 1), fleet(SLOW), since(standing=after(halves)), Steps(50)
    )
    assert again.days == halves.days
    assert again.changes == ()


def test_a_part_that_is_done_is_not_planned_again_and_the_rest_is(halves):
    first = min((stop for one in halves.days for stop in one.stops), key=lambda one: one.start_utc)
    hours_h = (first.end_utc - since().now) / timedelta(hours=1) + 0.2
    done = {job_id(BIG, first.part, 2): first.end_utc}
    later = since(hours_h, standing=after(halves, parts_done=done))
    old = plan_rigs(grown(1.5 * LONGEST_AC, 1), fleet(SLOW), later, Steps(50))
    assert [(one.part, one.parts) for one in old.left_out] == [(3 - first.part, 2)]
    assert "too old" in old.left_out[0].why
    later = replace(later, age_no_spray_h=48.0)
    plan = plan_rigs(grown(1.5 * LONGEST_AC, 1), fleet(SLOW), later, Steps(50))
    stops = {stop.part: stop for one in plan.days for stop in one.stops}
    assert stops[first.part].state == "done"
    assert stops[3 - first.part].state == "planned"
    assert check_parts(grown(1.5 * LONGEST_AC, 1), plan, {BIG: {first.part}}) == []


def test_a_part_done_without_a_plan_leaves_the_rest_to_plan():
    done = {job_id(BIG, 2, 3): since().now - timedelta(hours=20)}
    told = since(standing=Standing(parts_done=done))
    plan = plan_rigs(grown(60, 1), fleet(SLOW), told, Steps(20))
    assert set(parts_of(plan, BIG)) == {1, 3}
    assert sum(parts_of(plan, BIG).values()) == pytest.approx(40)


def test_a_field_sprayed_whole_is_planned_in_no_part(halves):
    told = since(1, sprayed=frozenset({BIG}), standing=after(halves, sprayed={BIG: since().now}))
    plan = plan_rigs(grown(1.5 * LONGEST_AC, 1), fleet(SLOW), told, Steps(20))
    assert plan.days == ()
    assert plan.left_out == ()


SPOILT = {
    "a part of it is there more than once": {"part": 1},
    "not all in the same number of parts": {"parts": 3},
    "has not its share of the acres": {"acres": 3.0},
    "is not marked as one": {"field_name": "Big"},
    "its parts do not make it up": {"part": 4},
}


@pytest.mark.parametrize("fault", list(SPOILT))
def test_the_check_finds_parts_that_do_not_make_up_the_field(halves, fault):
    report = grown(1.5 * LONGEST_AC, 1)
    assert check_parts(report, halves, {}) == []
    last = halves.days[-1]
    spoilt = last.stops[-1].model_copy(update=SPOILT[fault])
    if fault == "a part of it is there more than once":
        spoilt = spoilt.model_copy(update={"part": 3 - last.stops[-1].part})
    day = last.model_copy(update={"stops": (*last.stops[:-1], spoilt)})
    plan = halves.model_copy(update={"days": (*halves.days[:-1], day)})
    assert any(fault in one for one in check_parts(report, plan, {}))


def test_the_check_finds_a_part_that_is_lost_done_before_or_beside_the_whole(halves):
    report = grown(1.5 * LONGEST_AC, 1)
    lost = halves.model_copy(update={"days": halves.days[:-1]})
    assert any("do not make it up" in one for one in check_parts(report, lost, {}))
    assert any("done is there again" in one for one in check_parts(report, halves, {BIG: {1}}))
    stop = halves.days[0].stops[0].model_copy(update={"part": None, "parts": None})
    day = halves.days[0].model_copy(update={"stops": (stop,)})
    beside = halves.model_copy(update={"days": (day, *halves.days[1:])})
    assert check_parts(report, beside, {})


@settings(max_examples=40, deadline=None)
@given(
    acres=st.lists(st.floats(5, 1200), min_size=1, max_size=3),
    swath_ft=st.sampled_from([10, 15, 60]),
    days=st.integers(1, 4),
    yard=st.booleans(),
    done=st.sets(st.integers(1, 3), max_size=2),
)
def test_whatever_the_acres_no_plan_breaks_a_rule(acres, swath_ft, days, yard, done):
    report = good_morning(len(acres))
    fields = tuple(
        one.model_copy(update={"field": one.field.model_copy(update={"acres": size})})
        for one, size in zip(report.fields, acres, strict=True)
    )
    report = report.model_copy(update={"fields": fields})
    rigs = (
        rig("one", swath_ft=swath_ft, tank_gal=900, refill_min=15),
        rig("two", swath_ft=30, tank_gal=700, refill_min=20, refill_at="yard" if yard else "field"),
    )
    before = {job_id(BIG, part, 3): since().now - timedelta(hours=9) for part in done}
    told = since(standing=Standing(parts_done=before))
    plan = plan_rigs(report, fleet(*rigs, days=days), told, Steps(10))

    assert not [one for one in plan.notes if "broke a rule" in one]
    for one in report.fields:
        own = [
            each
            for each in (*(stop for day in plan.days for stop in day.stops), *plan.left_out)
            if each.field_id == one.field.id
        ]
        away = len(done) / 3 if one.field.id == BIG else 0.0
        assert sum(each.acres for each in own) == pytest.approx(
            one.field.acres * (1 - away), abs=0.3
        )
    again = plan_rigs(report, fleet(*rigs, days=days), replace_plan(told, plan), Steps(10))
    assert again.days == plan.days


def replace_plan(told, plan):
    return replace(told, standing=replace(told.standing, plan=plan))


def test_a_field_that_was_planned_whole_is_told_to_be_in_parts_now_and_why_it_falls_out(halves):
    whole = plan_rigs(grown(LONGEST_AC, 1), fleet(SLOW), since(), Steps(20))
    told = since(standing=after(whole))
    plan = plan_rigs(grown(1.5 * LONGEST_AC, 1), fleet(SLOW), told, Steps(20))
    assert {one.what for one in plan.changes} == {"dropped", "new"}
    assert {one.why for one in plan.changes if one.what == "new"} == {"it is planned in parts now"}

    held = grown(1.5 * LONGEST_AC, 1)
    one = held.fields[0].model_copy(update={"held_for_harvest": True})
    held = held.model_copy(update={"fields": (one,)})
    plan = plan_rigs(held, fleet(SLOW), since(standing=after(halves)), Steps(20))
    assert {one.why for one in plan.changes} == {"the harvest has no room for it today"}
    assert {(one.part, one.parts) for one in plan.changes} == {(1, 2), (2, 2)}
