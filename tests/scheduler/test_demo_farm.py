"""The demo farm on disk is whole: outlines, cells, people and the same bytes every time."""

import json
import time
import tomllib
from collections import Counter
from itertools import combinations
from pathlib import Path

import pytest
from pyproj import Geod
from shapely.geometry import Point, shape

from benchmarks.answers import write_benchmark_farm
from config.load import load
from scheduler.demo.write import DemoFarm, write_demo_farm

GEOD = Geod(ellps="WGS84")
#: Square metres in an international acre.
ACRE_M2 = 4046.8564224


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    return write_demo_farm(tmp_path_factory.mktemp("demo"))


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    return write_benchmark_farm(tmp_path_factory.mktemp("bench"), fields=30, cells=12)


@pytest.fixture(params=["demo", "bench"])
def farm(request) -> DemoFarm:
    return request.getfixturevalue(request.param)


def features(farm):
    return json.loads(farm.fields_path.read_text("utf-8"))["features"]


def config(farm):
    return tomllib.loads(farm.config_path.read_text("utf-8"))


def answer(farm, name):
    return json.loads((farm.answers_path / name).read_text("utf-8"))


def text(degrees):
    return f"{round(degrees, 4):.4f}".rstrip("0").rstrip(".")


def test_every_outline_is_sound_and_runs_against_the_clock(farm):
    for one in features(farm):
        outline = shape(one["geometry"])
        assert outline.is_valid, one["properties"]["id"]
        assert outline.exterior.is_ccw
        assert outline.exterior.coords[0] == outline.exterior.coords[-1]


def test_every_field_has_a_point_answer_whose_cell_holds_the_whole_field(farm):
    for one in features(farm):
        outline = shape(one["geometry"])
        inside = outline.representative_point()
        told = answer(farm, f"points_{text(inside.y)},{text(inside.x)}.json")
        assert outline.contains(Point(told["geometry"]["coordinates"]))
        grid = told["properties"]
        name = f"gridpoints_{grid['gridId']}_{grid['gridX']},{grid['gridY']}.json"
        assert shape(answer(farm, name)["geometry"]).contains(outline)


def test_acres_are_those_of_the_outline(farm):
    for one in features(farm):
        measured = abs(GEOD.geometry_area_perimeter(shape(one["geometry"]))[0]) / ACRE_M2
        assert 39 <= measured <= 161
        assert measured == pytest.approx(one["properties"].get("acres", measured), rel=0.002)


def test_no_two_fields_of_the_demo_overlap(demo):
    outlines = [shape(one["geometry"]) for one in features(demo)]
    assert not any(one.overlaps(other) for one, other in combinations(outlines, 2))


def test_cells_are_about_two_and_a_half_kilometres_and_do_not_overlap(demo):
    paths = sorted(demo.answers_path.glob("gridpoints_*"))
    cells = [shape(answer(demo, path.name)["geometry"]) for path in paths]
    for one in cells:
        side_m = abs(GEOD.geometry_area_perimeter(one)[0]) ** 0.5
        assert side_m == pytest.approx(2540, rel=0.01)
    assert not any(one.overlaps(other) for one, other in combinations(cells, 2))


def test_the_farm_lies_where_cotton_meets_early_frost(demo):
    # Southern High Plains and Rolling Plains, 34 to 35 N and 100 to 101.5 W; from memory.
    for one in features(demo):
        west, south, east, north = shape(one["geometry"]).bounds
        assert 34 < south < north < 35
        assert -101.5 < west < east < -100


def test_the_farm_has_its_people_rigs_growers_and_enough_fields(demo):
    told = config(demo)
    fields = [one["properties"] for one in features(demo)]
    assert 26 <= len(fields) <= 30
    assert len(told["rigs"]) == 2
    assert Counter(one["role"] for one in told["people"]) == {
        "operator": 1,
        "consultant": 1,
        "dispatcher": 1,
        "grower": 1,
    }
    assert len({one["grower_id"] for one in fields}) == 3
    assert sum(one.get("cold_spot_f", 0) >= 2 for one in fields) >= 3


def test_everything_that_is_named_is_there(farm):
    told = config(farm)
    known = {key: {one["id"] for one in told[key]} for key in ("growers", "treatments", "rigs")}
    fields = {one["properties"]["id"]: one["properties"] for one in features(farm)}
    assert len(fields) == len(features(farm))
    for one in fields.values():
        assert one["grower_id"] in known["growers"]
        assert one["treatment_id"] in known["treatments"]
        assert one.get("region", "bench") in told["regions"]
    for one in told["people"]:
        assert set(one.get("grower_ids", ())) <= known["growers"]
    assert {one.field_id for one in (*farm.visits, *farm.sprays)} <= set(fields)
    assert {one.rig_id for one in farm.sprays} <= known["rigs"]
    assert {one.treatment_id for one in farm.sprays} <= known["treatments"]


def test_addresses_of_invented_people_reach_nobody(demo):
    # example.org: RFC 2606. Numbers 555-0100 to 555-0199 are kept for fiction; common practice.
    for one in config(demo)["people"]:
        assert one["email"].endswith("@example.org")
        assert "55501" in one.get("phone", "55501")


def test_the_recorded_clock_and_folder_travel_with_the_farm(farm):
    told = config(farm)
    assert told["replay"]["at"] == farm.replay_utc
    assert farm.folder / told["farm"]["fields"] == farm.fields_path
    assert farm.folder / told["forecast"]["path"] == farm.answers_path
    assert "mail" not in told
    assert "sms" not in told


def test_the_config_room_accepts_the_farm_and_asks_for_the_points_there_are(farm):
    accepted = load(farm.config_path, {})
    assert len(accepted.fields) == len(features(farm))
    asked = {f"points_{text(one.latitude)},{text(one.longitude)}.json" for one in accepted.fields}
    assert asked == {path.name for path in farm.answers_path.glob("points_*")}


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_a_farm_written_again_has_the_same_bytes_and_records(demo, tmp_path):
    began = time.perf_counter()
    again = write_demo_farm(tmp_path)
    assert time.perf_counter() - began < 2

    assert contents(again.folder) == contents(demo.folder)
    assert (again.visits, again.sprays) == (demo.visits, demo.sprays)


def test_a_benchmark_farm_depends_on_its_seed_alone(tmp_path):
    one, same, other = (
        write_benchmark_farm(tmp_path / name, fields=6, cells=3, seed=seed)
        for name, seed in (("one", 1), ("same", 1), ("other", 2))
    )
    assert contents(one.folder) == contents(same.folder)
    assert one.visits == same.visits
    assert contents(one.folder) != contents(other.folder)


def test_a_benchmark_farm_has_the_fields_and_cells_asked_for(bench):
    assert len(features(bench)) == 30
    assert len(list(bench.answers_path.glob("gridpoints_*"))) == 12
    assert len(list(bench.answers_path.glob("points_*"))) == 30


def test_more_fields_than_the_cells_hold_are_refused(tmp_path):
    with pytest.raises(ValueError, match="got 9 in 2 cells, wanted 1 to 4 a cell"):
        write_benchmark_farm(tmp_path, fields=9, cells=2)
