"""Roads of a table in the plan of the demo's farm."""

import csv
import io
import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from dispatch.routes.fleet import Fleet
from dispatch.routes.settings import RouteSettings
from dispatch.routes.what_if import with_rigs
from farm.rig import Rig
from scheduler.roads import with_roads
from tests.scheduler.road_server import RoadServer

pytest.importorskip("pyvrp", reason="the search is not installed")

YARD = (34.6, -100.9)


@pytest.fixture
def farm(demo_once, tmp_path) -> Path:
    """A copy of it, whose rigs have yards, to change."""
    shutil.copytree(demo_once, tmp_path / "demo")
    return tmp_path / "demo" / "farm.toml"


def hilly(here, there):
    """Every way is 30 miles and takes 50 minutes."""
    return 30 * 1_609.344, 3_000.0


@pytest.fixture
def server():
    one = RoadServer(hilly)
    one.off_road_m = 0.0
    yield one
    one.close()


def use_table(farm: Path, server: RoadServer, more: str = "") -> None:
    text = farm.read_text("utf-8")
    told = f'\n[routes]\ntable_address = "{server.address}"\n{more}\n'
    farm.write_text(text + told, "utf-8")


def test_the_plan_drives_the_roads_of_the_table(warmspell, farm, server):
    use_table(farm, server)
    told = warmspell("routes", "--config", farm, "--csv", "--seconds", "0.3")
    assert told.code == 0, told.err
    rows = list(csv.DictReader(io.StringIO(told.out)))
    assert rows
    for row in rows:
        # 30 miles take 50 minutes by the table, 90 at a sprayer's own 20 mph.
        assert (row["miles"], row["drive_min"]) == ("30", "90")
    assert server.asked


def test_the_miles_of_ones_own_win_and_where_the_table_fails_it_is_told(warmspell, farm, server):
    (farm.parent / "miles.csv").write_text("from,to,miles\nyard:wide,yard:small,3\n", "utf-8")
    use_table(farm, server, 'miles = "miles.csv"')
    server.instead = [(500, b"")] * 5
    told = warmspell("routes", "--config", farm, "--json", "--seconds", "0.3")
    plan = json.loads(told.out)["routes"]
    assert (
        "The road table at 127.0.0.1 tells no way (it answered 500): all miles are as the crow "
        "flies x 1.3"
    ) in plan["notes"]
    assert plan["days"]


@pytest.fixture
def one_rig() -> Rig:
    return Rig(
        id="wide",
        name="Wide",
        speed_mph=12,
        swath_ft=90,
        yard_latitude=YARD[0],
        yard_longitude=YARD[1],
    )


class Morning:
    """As much of a morning as the roads need."""

    def __init__(self, *fields) -> None:
        self.fields = fields

    def with_call(self, *_):
        return self.fields


class Called:
    """A call of a field."""

    def __init__(self, field) -> None:
        self.field = field


@pytest.fixture
def morning(cotton_field) -> Morning:
    gate = {"entry_latitude": 34.7, "entry_longitude": -100.95}
    return Morning(
        Called(cotton_field("f1", 34.65, -100.9)),
        Called(cotton_field("f2", 34.69, -100.94).model_copy(update=gate)),
    )


@pytest.fixture
def cotton_field():
    from farm.field import Field

    def make(field_id: str, latitude: float, longitude: float) -> Field:
        return Field(
            id=field_id,
            name=field_id.title(),
            grower_id="g",
            latitude=latitude,
            longitude=longitude,
            acres=80,
            time_zone="America/Chicago",
            treatment_id="mix",
        )

    return make


def test_gates_and_yards_are_asked_for_once_and_own_miles_have_no_minutes(server, one_rig, morning):
    twin = one_rig.model_copy(update={"id": "twin"})
    flown = one_rig.model_copy(update={"id": "plane", "kind": "air", "yard_latitude": 34.0})
    settings = RouteSettings(table_address=server.address)
    fleet = Fleet((one_rig, twin, flown), {}, settings, {("yard:wide", "f1"): 4.0})
    told = with_roads(fleet, morning)
    assert server.asked == [[(-100.9, 34.65), (-100.95, 34.7), (-100.9, 34.6)]]
    assert told.told_miles["yard:wide", "f1"] == 4
    assert told.told_miles["yard:twin", "f1"] == pytest.approx(30)
    assert ("yard:wide", "f1") not in told.told_min
    assert told.told_min["yard:twin", "f1"] == 50
    assert told.notes == (
        "The road table at 127.0.0.1 tells all 6 ways; a rig drives no faster than its own speed",
    )


def test_a_way_no_map_has_is_counted_in_the_note(one_rig, morning):
    one = RoadServer(lambda here, there: None if here[0] == -100.95 else hilly(here, there))
    told = with_roads(Fleet((one_rig,), {}, RouteSettings(table_address=one.address)), morning)
    one.close()
    assert told.notes == (
        "The road table at 127.0.0.1 tells 4 of 6 ways: the miles of the others are as the crow "
        "flies x 1.3",
    )
    assert ("f2", "f1") not in told.told_miles


def test_without_an_address_nothing_is_asked(one_rig, morning):
    fleet = Fleet((one_rig,), {}, RouteSettings())
    assert with_roads(fleet, morning) is fleet


def test_a_rig_more_leaves_from_the_same_yard_by_the_same_roads(one_rig):
    fleet = Fleet((one_rig,), {}, RouteSettings())
    told = replace(fleet, told_miles={("yard:wide", "f1"): 7.0, ("f1", "f2"): 2.0}, told_min={})
    assert dict(with_rigs(told, 2, None).told_miles) == {
        ("yard:wide", "f1"): 7.0,
        ("yard:wide+1", "f1"): 7.0,
        ("f1", "f2"): 2.0,
    }


@pytest.mark.parametrize(
    "address", ["roads.example.net", "ftp://x", "https://x/?key=1", "http:// x"]
)
def test_an_address_that_is_none_is_refused(warmspell, farm, address):
    text = farm.read_text("utf-8")
    farm.write_text(text + f'\n[routes]\ntable_address = "{address}"\n', "utf-8")
    told = warmspell("check", "--config", farm)
    assert told.code == 78
    assert "routes.table_address: got no address of the web" in told.err
