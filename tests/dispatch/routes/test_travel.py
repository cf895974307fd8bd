"""Miles and minutes between places: reckoned, told by a table, and to the gate of a field."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from by_force import Steps
from mornings_for_rigs import fleet, good_morning, since
from rig_farms import START, day, job, problem, rig, window

from dispatch.routes.checker import check_plan
from dispatch.routes.draw_up import draw_up
from dispatch.routes.problem import Visit
from dispatch.routes.rig_plan import asked_of, plan_rigs
from dispatch.routes.travel import NEVER_MIN, travel_between

#: Two places on one meridian, 0.1 degree apart: 11,093.3 m on the WGS 84 ellipsoid at 34.6 north
#: (meridian radius of curvature M = a(1-e2)/(1-e2 sin2 phi)^1.5 = 6,356,008 m), 6.893 miles.
SOUTH, NORTH = (34.55, -100.9), (34.65, -100.9)


def test_reckoned_miles_are_those_of_the_ellipsoid_times_the_factor():
    travel = travel_between([SOUTH, NORTH], {}, 1.3)
    assert travel.air_miles[0, 1] == pytest.approx(6.893, abs=0.01)
    assert travel.road_miles[0, 1] == pytest.approx(1.3 * 6.893, abs=0.013)


@pytest.mark.parametrize(
    ("told_min", "kind", "minutes"),
    [
        pytest.param(35.2, "ground", 36, id="slower than the rig's own 30 mph: it counts"),
        pytest.param(9.0, "ground", 20, id="a car is quicker: the rig is not"),
        pytest.param(35.2, "air", 14, id="no road binds an aircraft: 6.893 mi at 30 mph"),
    ],
)
def test_minutes_of_a_table_slow_a_rig_down_and_never_hurry_it(told_min, kind, minutes):
    travel = travel_between([SOUTH, NORTH], {}, 1.3, {(0, 1): 10.0}, {(0, 1): told_min})
    one = rig(kind=kind)
    assert travel.minutes(one, 0, 1) == minutes
    assert travel.all_minutes(one)[0, 1] == minutes


def test_where_there_is_no_way_no_minutes_of_a_table_make_one():
    travel = travel_between([SOUTH, NORTH], {}, 1.3, {(0, 1): np.inf}, {(0, 1): 5.0})
    assert travel.minutes(rig(), 0, 1) == travel.all_minutes(rig())[0, 1] == NEVER_MIN


def test_a_slow_road_is_driven_in_its_own_time_and_checked_for_it():
    asked = problem([job("a", (5, 0), 60, window(0, 12))], [day(rig())])
    travel = travel_between(
        asked.travel.places[:1],
        {"wide": asked.travel.places[1]},
        1.0,
        told_min={(1, 0): 45.0, (0, 1): 45.0},
    )
    slow = replace(asked, travel=travel)
    plan = draw_up(slow, ((Visit(0, 0),),), "greedy")
    (stop,) = plan.days[0].stops
    assert stop.drive_min == 45
    # 5 miles at 30 mph are 10 minutes; the road takes 45 out and 45 back, the spray an hour.
    assert plan.days[0].back_utc - plan.days[0].leave_utc == timedelta(minutes=150)
    assert check_plan(slow, plan) == []
    hurried = draw_up(asked, ((Visit(0, 0),),), "greedy")
    told = check_plan(slow, hurried)
    assert any("reached sooner than its way" in one for one in told)
    assert any("home sooner" in one for one in told)


def test_a_plan_tells_by_when_each_field_must_be_done():
    asked = problem([job("a", (1, 0), 30, window(2, 9))], [day(rig())])
    plan = draw_up(asked, ((Visit(0, 0),),), "greedy")
    (stop,) = plan.days[0].stops
    assert stop.by_utc == START + timedelta(hours=9)
    late = stop.model_copy(update={"by_utc": START + timedelta(hours=10)})
    days = (plan.days[0].model_copy(update={"stops": (late,)}),)
    assert check_plan(asked, plan.model_copy(update={"days": days})) != []


def test_rigs_come_to_the_gate_while_the_sky_is_that_of_the_field():
    report = good_morning(1)
    (one,) = report.fields
    gate = {"entry_latitude": one.field.latitude + 0.02, "entry_longitude": one.field.longitude}
    gated = report.model_copy(
        update={"fields": (one.model_copy(update={"field": one.field.model_copy(update=gate)}),)}
    )
    (plain,), (told,) = (asked_of(each, fleet(), since()).problem.jobs for each in (report, gated))
    assert told.windows == plain.windows
    assert told.latitude == pytest.approx(plain.latitude + 0.02)
    asked = asked_of(gated, fleet(), since()).problem
    assert asked.travel.places[0] == (told.latitude, told.longitude)


def test_what_is_told_of_roads_reaches_the_plan_with_its_notes():
    told = replace(
        fleet(),
        told_miles={("yard:wide", "f1"): 12.5},
        told_min={("yard:wide", "f1"): 61.0},
        notes=("The roads are those of a table",),
    )
    plan = plan_rigs(good_morning(1), told, since(), Steps(5))
    (stop,) = plan.days[0].stops
    assert (stop.miles, stop.drive_min) == (12.5, 61)
    assert "The roads are those of a table" in plan.notes
