"""Every rule of the checker fails a plan that is spoiled in it, and no returned plan fails."""

from datetime import timedelta

import pytest
from by_force import Steps
from hypothesis import given, settings
from hypothesis import strategies as st
from rig_farms import BARE, TODAY, day, job, problem, rig, window

from dispatch.routes.checker import check_plan
from dispatch.routes.draw_up import draw_up
from dispatch.routes.plan import LeftOut, PlannedDay, RoutePlan, Stop
from dispatch.routes.planner import best_routes
from dispatch.routes.problem import RouteProblem, Visit

HOUR = timedelta(hours=1)
MINUTE = timedelta(minutes=1)

NURSED = rig("nursed", tank_gal=500, refill_min=20, drivers=["dell"])
HOMING = rig("homing", tank_gal=500, refill_min=20, refill_at="yard", drivers=["ivy"])
FARM = problem(
    [
        job("one", (5, 0), 60, window(2, 6), gallons=900),
        job("two", (5, 5), 60, window(2, 8), gallons=500, mix_id="other"),
        job("three", (-5, 0), 30, window(2, 9), gallons=300),
        job("four", (-5, 5), 30, window(2, 9), gallons=300),
    ],
    [day(NURSED, driver="dell"), day(HOMING, driver="ivy")],
    BARE.model_copy(update={"setup_min": 10.0}),
)
GOOD = draw_up(
    FARM, ((Visit(0, 0), Visit(1, 0)), (Visit(2, 0), Visit(3, 0))), "searched", left_out=()
)


def with_stop(plan: RoutePlan, place: int, at: int, **changed: object) -> RoutePlan:
    """The plan with one stop changed."""
    days = list(plan.days)
    stops = list(days[place].stops)
    stops[at] = stops[at].model_copy(update=changed)
    days[place] = days[place].model_copy(update={"stops": tuple(stops)})
    return plan.model_copy(update={"days": tuple(days)})


def with_day(plan: RoutePlan, place: int, **changed: object) -> RoutePlan:
    """The plan with one rig's day changed."""
    days = list(plan.days)
    days[place] = days[place].model_copy(update=changed)
    return plan.model_copy(update={"days": tuple(days)})


def place_of(rig_id: str) -> int:
    return [one.rig_id for one in GOOD.days].index(rig_id)


def stop_of(rig_id: str, at: int) -> Stop:
    return GOOD.days[place_of(rig_id)].stops[at]


NURSED_AT, HOMING_AT = place_of("nursed"), place_of("homing")
FIRST, SECOND = stop_of("nursed", 0), stop_of("nursed", 1)
LEFT = LeftOut(field_id="one", field_name="One", acres=60, why="", would_change="")

SPOILED = {
    "planned 2 times": with_stop(GOOD, HOMING_AT, 1, field_id="three"),
    "not a field to spray": with_stop(GOOD, HOMING_AT, 1, field_id="stranger"),
    "neither planned nor": with_stop(GOOD, HOMING_AT, 1, field_id="three"),
    "left out, and planned": GOOD.model_copy(update={"left_out": (LEFT,)}),
    "does not work that day": with_day(GOOD, 0, on=TODAY + timedelta(days=1)),
    "sent out 2 times": GOOD.model_copy(update={"days": (*GOOD.days, GOOD.days[0])}),
    "drives 2 rigs": with_day(GOOD, HOMING_AT, driver="dell"),
    "may not drive it": with_day(GOOD, HOMING_AT, driver="wade"),
    "leaves before its day": with_day(GOOD, 0, leave_utc=FARM.start_utc - MINUTE),
    "comes back after": with_day(GOOD, 0, back_utc=FARM.start_utc + 14 * HOUR),
    "reached sooner": with_stop(GOOD, NURSED_AT, 1, arrive_utc=SECOND.arrive_utc - 2 * MINUTE),
    "home sooner": with_day(GOOD, NURSED_AT, back_utc=GOOD.days[NURSED_AT].back_utc - 2 * MINUTE),
    "takes more than the tank": with_stop(GOOD, NURSED_AT, 0, fills=1),
    "takes more than": with_stop(GOOD, HOMING_AT, 1, by_yard=False),
    "sprayed faster": with_stop(GOOD, NURSED_AT, 0, end_utc=FIRST.end_utc - MINUTE),
    "before the rig is ready": with_stop(GOOD, NURSED_AT, 0, arrive_utc=FIRST.arrive_utc + MINUTE),
    "not all its acres": with_stop(GOOD, NURSED_AT, 0, acres=59.0),
    "not all its acres, or not its mix": with_stop(GOOD, NURSED_AT, 0, mix_id="other"),
    "not wholly inside": with_stop(
        GOOD,
        NURSED_AT,
        0,
        start_utc=FIRST.start_utc + 4 * HOUR,
        end_utc=FIRST.end_utc + 4 * HOUR,
    ),
    "inside a window with that effect": with_stop(GOOD, NURSED_AT, 0, effect_pct=81.0),
    "not wholly inside a window": with_stop(GOOD, NURSED_AT, 0, full=False),
    "totals: acres says": GOOD.model_copy(update={"acres": GOOD.acres + 1}),
    "totals: acres_full says": GOOD.model_copy(update={"acres_full": GOOD.acres + 1}),
    "totals: fields says": GOOD.model_copy(update={"fields": 5}),
    "totals: worth_ac says": GOOD.model_copy(update={"worth_ac": GOOD.worth_ac + 1}),
    "totals: miles says": GOOD.model_copy(update={"miles": GOOD.miles + 1}),
    "totals: acres of": with_day(GOOD, 0, acres=1.0),
    "totals: miles of": with_day(GOOD, 0, miles=0.0),
}


def test_the_plan_that_is_spoiled_below_keeps_every_rule():
    assert check_plan(FARM, GOOD) == []
    assert GOOD.fields == 4


@pytest.mark.parametrize("words", SPOILED)
def test_a_plan_spoiled_in_one_rule_is_found_out(words):
    assert any(words in told for told in check_plan(FARM, SPOILED[words]))


def test_a_cleanout_that_is_left_out_is_found_out():
    assert SECOND.cleanout_min == 30
    sooner = with_stop(
        GOOD,
        NURSED_AT,
        1,
        arrive_utc=SECOND.arrive_utc - 25 * MINUTE,
        start_utc=SECOND.start_utc - 25 * MINUTE,
        end_utc=SECOND.end_utc - 25 * MINUTE,
    )
    assert "two: reached sooner than its way and its work allow" in check_plan(FARM, sooner)


def test_what_is_left_of_another_mix_is_not_sprayed():
    jobs = [
        job("one", (0, 0), 20, window(0, 9), gallons=100),
        job("two", (0, 0), 20, window(0, 9), gallons=100, mix_id="other"),
    ]
    farm = problem(jobs, [day(HOMING, driver="ivy")])
    plan = draw_up(farm, ((Visit(0, 0), Visit(1, 0)),), "searched")
    assert check_plan(farm, plan) == []
    assert plan.days[0].stops[1].by_yard
    spoiled = with_stop(plan, 0, 1, by_yard=False)
    assert "two: sprayed with what was left of another mix" in check_plan(farm, spoiled)


def test_a_ground_rig_in_a_window_for_aircraft_is_found_out():
    farm = problem([job("one", (0, 0), 20, window(0, 9))], [day(rig())])
    plan = draw_up(farm, ((Visit(0, 0),),), "searched")
    wet = problem([job("one", (0, 0), 20, window(0, 9, kinds=("air",)))], [day(rig())])
    assert check_plan(farm, plan) == []
    assert any("not wholly inside" in told for told in check_plan(wet, plan))


@st.composite
def farms(draw: st.DrawFn) -> RouteProblem:
    """Up to seven fields and three rigs of any sort, over one or two days."""

    def number(least: float, most: float) -> float:
        return draw(st.floats(least, most, allow_nan=False).map(lambda one: round(one, 3)))

    def some_rig(name: str) -> object:
        tank = draw(st.sampled_from([None, 300.0, 900.0]))
        return rig(
            name,
            kind=draw(st.sampled_from(["ground", "ground", "air"])),
            swath_ft=number(30, 120),
            road_mph=number(10, 60),
            tank_gal=tank,
            refill_min=draw(st.sampled_from([0.0, 12.5, 30.0])),
            refill_at=draw(st.sampled_from(["field", "yard"])),
            cleanout_min=draw(st.sampled_from([0.0, 22.5])),
        )

    def some_job(name: str) -> object:
        acres = number(5, 150)
        windows = []
        for _ in range(draw(st.integers(1, 3))):
            opens = number(0, 34)
            kinds = draw(st.sampled_from([("air", "ground"), ("air",), ("ground",)]))
            closes = opens + number(0.1, 6)
            windows.append(window(opens, closes, round(number(5, 99), 1), kinds=kinds))
        gallons = draw(st.sampled_from([None, acres * 5, acres * 12]))
        mix = draw(st.sampled_from(["aid-12", "aid-24"]))
        at = (number(-20, 20), number(-20, 20))
        return job(name, at, acres, *windows, gallons=gallons, mix_id=mix)

    jobs = [some_job(f"f{one}") for one in range(draw(st.integers(1, 7)))]
    rigs = [some_rig(f"r{one}") for one in range(draw(st.integers(1, 3)))]
    days = [
        day(one, 24 * ahead, 24 * ahead + number(4, 13), on=TODAY + timedelta(days=ahead))  # type: ignore[arg-type]
        for ahead in range(draw(st.integers(1, 2)))
        for one in rigs
    ]
    told = BARE.model_copy(
        update={"setup_min": draw(st.sampled_from([0.0, 7.5])), "road_factor": number(1, 1.6)}
    )
    return problem(jobs, days, told)  # type: ignore[arg-type]


@settings(max_examples=80, deadline=None)
@given(farm=farms(), steps=st.sampled_from([0, 30, 120]))
def test_no_plan_that_is_returned_breaks_a_rule(farm, steps):
    found = best_routes(farm, Steps(steps))
    plan = draw_up(farm, found.routes, found.method)
    visited = {stop.field_id for one in plan.days for stop in one.stops}
    left = tuple(
        LeftOut(field_id=one.field_id, field_name="", acres=1, why="", would_change="")
        for one in farm.jobs
        if one.field_id not in visited
    )
    assert check_plan(farm, plan.model_copy(update={"left_out": left})) == []
    assert found.gain_ac >= found.by_hand_gain_ac - 1e-6
    assert all(isinstance(one, PlannedDay) and one.stops for one in plan.days)
