"""A plan as lines and points of a map: RFC 7946, longitude first."""

import json

import pytest
from rig_farms import YARD, day, job, place, problem, rig, window

from dispatch.routes.draw_up import draw_up
from dispatch.routes.plan_map import plan_geojson
from dispatch.routes.problem import Visit

GATES = {"a": place(4, 0), "b": place(4, 3)}


def planned(*, by_yard: bool = False):
    """Two fields on one rig's day, filled at the yard before each where asked."""
    tank = {"tank_gal": 500, "refill_min": 20, "refill_at": "yard"} if by_yard else {}
    jobs = [
        job(name, at, 40, window(0, 12), gallons=400) for name, at in (("a", (4, 0)), ("b", (4, 3)))
    ]
    asked = problem(jobs, [day(rig(**tank))])
    return draw_up(asked, ((Visit(0, 0), Visit(1, 0)),), "greedy")


def test_a_rigs_day_is_a_line_from_its_yard_by_its_stops_and_back():
    plan = planned()
    told = plan_geojson(plan, GATES, {"wide": YARD})
    json.dumps(told, allow_nan=False)
    assert told["type"] == "FeatureCollection"
    assert "crs" not in told
    line, first, second = told["features"]
    assert line["geometry"]["type"] == "LineString"
    east_of = [position[0] for position in line["geometry"]["coordinates"]]
    assert east_of == pytest.approx([-100.9, GATES["a"][1], GATES["b"][1], -100.9], abs=1e-6)
    assert all(34 < position[1] < 35 for position in line["geometry"]["coordinates"])
    told_of = line["properties"]
    assert (told_of["rig"], told_of["day"], told_of["stops"]) == ("wide rig", "2026-10-06", 2)
    assert told_of["acres"] == 80
    # 4 miles out, 3 north, 5 back: a right triangle.
    assert told_of["miles"] == pytest.approx(12, rel=0.01)
    assert first["geometry"]["type"] == "Point"
    assert first["geometry"]["coordinates"] == pytest.approx(GATES["a"][::-1], abs=1e-6)
    assert [one["properties"]["stop"] for one in (first, second)] == [1, 2]
    assert [one["properties"]["field_id"] for one in (first, second)] == ["a", "b"]


def test_a_fill_at_the_yard_is_a_corner_of_the_line():
    told = plan_geojson(planned(by_yard=True), GATES, {"wide": YARD})
    line = told["features"][0]["geometry"]["coordinates"]
    yard = [YARD[1], YARD[0]]
    assert [one == pytest.approx(yard) for one in line] == [True, False, True, False, True]


def test_without_a_yard_the_line_is_of_the_stops_and_of_one_stop_there_is_none():
    plan = planned()
    assert len(plan_geojson(plan, GATES, {})["features"][0]["geometry"]["coordinates"]) == 2
    one = plan.days[0].model_copy(update={"stops": plan.days[0].stops[:1]})
    line, point = plan_geojson(plan.model_copy(update={"days": (one,)}), GATES, {})["features"]
    assert line["geometry"] is None
    assert point["geometry"] is not None


def test_a_field_whose_place_is_not_known_any_more_is_told_without_a_point():
    told = plan_geojson(planned(), {"a": GATES["a"]}, {"wide": YARD})["features"]
    assert [one["geometry"] is None for one in told] == [False, False, True]
    assert len(told[0]["geometry"]["coordinates"]) == 3
