"""The plan of rigs from the command line, on the demo's farm."""

import csv
import io
import json
import shutil
from datetime import datetime
from pathlib import Path

import pytest

from scheduler.commands import run
from scheduler.data_error import DataError
from scheduler.road_miles import road_miles
from scheduler.search_clock import SearchClock

pytest.importorskip("pyvrp", reason="the search is not installed")

FAST = ("--seconds", "0.3")


@pytest.fixture(scope="module")
def demo(tmp_path_factory) -> Path:
    """The demo's farm after its morning of Tuesday 6 October 2026."""
    folder = tmp_path_factory.mktemp("routes") / "demo"
    assert run(["demo", "--out", str(folder)]) in (0, 3)
    return folder


@pytest.fixture
def farm(demo, tmp_path) -> Path:
    """A copy of it to change."""
    shutil.copytree(demo, tmp_path / "demo")
    return tmp_path / "demo" / "farm.toml"


@pytest.fixture
def planned(warmspell):
    """The plan as other programs read it."""

    def read(config: Path, *more: str) -> dict[str, object]:
        told = warmspell("routes", "--config", config, "--json", *FAST, *more)
        assert told.code == 0, told.err
        return json.loads(told.out)["routes"]

    return read


def stops_of(plan) -> dict[str, dict[str, object]]:
    return {stop["field_id"]: stop | {"rig": day["rig_id"]} for day in plan["days"]
            for stop in day["stops"]}  # fmt: skip


def called(warmspell, config) -> set[str]:
    ranked = json.loads(warmspell("rank", "--json", "--config", config).out)["fields"]
    return {one["field_id"] for one in ranked if one["call"] in ("spray", "short")}


def test_every_field_called_is_planned_or_told_why_not(warmspell, planned, demo):
    plan = planned(demo / "farm.toml")
    left = {one["field_id"] for one in plan["left_out"]}
    assert set(stops_of(plan)) | left == called(warmspell, demo / "farm.toml")
    assert not set(stops_of(plan)) & left
    assert len(stops_of(plan)) >= 7


def test_the_table_tells_local_times_totals_and_that_the_label_is_the_law(warmspell, demo):
    told = warmspell("routes", "--config", demo / "farm.toml", *FAST)
    assert told.code == 0
    assert "Tue 6 Oct, Ninety-foot sprayer, Dell Ransome drives: out 9:" in told.out
    assert "am, back " in told.out
    assert "of them in full windows, worth" in told.out
    assert "SHORT: a freeze within 7 nights" in told.out
    assert "The label is the law" in told.err
    assert "4 fields without a call and 7 to walk are not planned" in told.err


def test_the_rows_of_the_csv_are_the_stops(warmspell, planned, demo):
    told = warmspell("routes", "--config", demo / "farm.toml", "--csv", *FAST)
    rows = list(csv.DictReader(io.StringIO(told.out)))
    assert {row["field_id"] for row in rows} == set(stops_of(planned(demo / "farm.toml")))
    for row in rows:
        start, end = (datetime.fromisoformat(row[f"{one}_local"]) for one in ("start", "end"))
        assert start.utcoffset() == end.utcoffset() is not None
        # The demo's sky opens at 10 am and closes at 5 pm by its own clock.
        assert 10 <= start.hour < 17
        assert end.hour < 17 or (end.hour, end.minute) == (17, 0)


def test_the_calendar_has_an_entry_for_every_stop(warmspell, planned, demo):
    pytest.importorskip("icalendar", reason="the writer of calendars is not installed")
    told = warmspell("routes", "--config", demo / "farm.toml", "--ics", *FAST)
    assert told.out.startswith("BEGIN:VCALENDAR")
    assert told.out.count("BEGIN:VEVENT") == len(stops_of(planned(demo / "farm.toml")))


def test_a_sprayed_field_is_no_longer_planned(warmspell, planned, farm):
    before = set(stops_of(planned(farm)))
    first = min(before)
    logged = warmspell("spray", "log", first, "--when", "2026-10-06T06:05", "--config", farm)
    assert logged.code == 0, logged.err
    after = planned(farm)
    assert first not in stops_of(after)
    assert first not in {one["field_id"] for one in after["left_out"]}


def test_comparing_tells_what_a_rig_more_or_fewer_reaches(warmspell, demo):
    config = demo / "farm.toml"
    told = warmspell("routes", "--config", config, "--rigs", "2", "--json", "--seconds", "1.5")
    rows = json.loads(told.out)["what_if"]
    assert [one["rigs"] for one in rows] == [1, 2, 3]
    acres = [one["acres_full"] for one in rows]
    assert acres[0] < acres[1] < acres[2]
    table = warmspell("routes", "--config", config, "--rigs", "2", "--hours", "8", *FAST)
    assert table.out.splitlines()[0].split()[:3] == ["rigs", "day", "acres"]
    assert "as entered" in table.out
    assert "8 h" in table.out


def test_a_yard_and_a_driver_are_taken_from_the_config(warmspell, planned, farm):
    text = farm.read_text("utf-8").replace('["Dell Ransome"]', '["Rafe"]')
    text = text.replace("yard_latitude = 34.541\nyard_longitude = -100.884\n", "")
    farm.write_text(text, "utf-8")
    plan = planned(farm)
    assert {day["driver"] for day in plan["days"] if day["rig_id"] == "wide"} == {"Rafe"}
    assert sum("no yard entered" in one for one in plan["notes"]) == 1


def test_road_miles_of_ones_own_are_reckoned_with(warmspell, planned, farm):
    text = farm.read_text("utf-8")
    farm.write_text(text + '\n[routes]\nmiles = "miles.csv"\n', "utf-8")
    first = min(stops_of(planned_without(warmspell, farm, text)))
    rows = [f"yard:{rig},{first},-" for rig in ("wide", "small")]
    others = called(warmspell, farm) - {first}
    rows += [f"{one},{first},-" for one in sorted(others)]
    (farm.parent / "miles.csv").write_text("from,to,miles\n" + "\n".join(rows) + "\n", "utf-8")
    plan = planned(farm)
    told = {one["field_id"]: one["why"] for one in plan["left_out"]}
    assert told[first] == "no way from any yard leads there"


def planned_without(warmspell, farm: Path, text: str) -> dict[str, object]:
    """The plan before the file of miles is named."""
    named = farm.read_text("utf-8")
    farm.write_text(text, "utf-8")
    told = warmspell("routes", "--config", farm, "--json", *FAST)
    farm.write_text(named, "utf-8")
    return json.loads(told.out)["routes"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("a,b,c\n", ":1: columns: got"),
        ("from,to,miles\nf1,f9,3\n", ':2: to: got "f9", wanted the id of a field'),
        ("from,to,miles\nf1,f2,-3\n", ':2: miles: got "-3", wanted 0 to 2000'),
        ("from,to,miles\nf1,f2,nan\n", ':2: miles: got "nan"'),
        ("from,to,miles\nf1,f2\n", ":2: got 2 cells"),
    ],
)
def test_a_file_of_miles_that_cannot_be_used_names_its_line(tmp_path, text, words):
    (tmp_path / "miles.csv").write_text(text, "utf-8")
    with pytest.raises(DataError) as caught:
        road_miles(tmp_path / "miles.csv", ["f1", "f2"], ["wide"])
    assert words in caught.value.lines[0]


def test_a_way_given_once_holds_both_ways_and_a_missing_one_is_no_way(tmp_path):
    text = "\ufefffrom,to,miles\nf1,f2,3\nyard:wide,f1,-\nf2,f1,4\n\n"
    (tmp_path / "miles.csv").write_text(text, "utf-8")
    told = road_miles(tmp_path / "miles.csv", ["f1", "f2"], ["wide"])
    assert (told["f1", "f2"], told["f2", "f1"]) == (3.0, 4.0)
    assert told["f1", "yard:wide"] == told["yard:wide", "f1"] == float("inf")


@pytest.mark.parametrize(
    "asked", [("--json", "--csv"), ("--csv", "--ics"), ("--rigs", "2", "--ics"), ("--rigs", "0")]
)
def test_what_cannot_go_together_is_refused(warmspell, demo, asked):
    assert warmspell("routes", "--config", demo / "farm.toml", *asked).code == 64


def test_before_the_first_morning_there_is_nothing_to_plan(warmspell, tmp_path):
    assert warmspell("init", tmp_path / "farm").code == 0
    told = warmspell("routes", "--config", tmp_path / "farm" / "farm.toml")
    assert told.code == 75
    assert "no morning has been run yet" in told.err


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        return True


def test_the_line_of_the_search_is_drawn_on_a_terminal_only_and_ended():
    for stream, wanted in ((Terminal(), True), (io.StringIO(), False)):
        clock = SearchClock(60, 9, stream)
        assert clock(1234.4)
        clock.close()
        assert ("1,234 acres at full effect" in stream.getvalue()) is wanted
        assert stream.getvalue().endswith("\n") is wanted
    assert not SearchClock(0, 9, io.StringIO())(1.0)


def test_a_small_farm_is_not_searched_for_longer_than_it_helps():
    clock = SearchClock(60, 2, io.StringIO())
    steps = [clock(1.0), *(clock(2.0) for _ in range(3_000))]
    assert steps.index(False) == 2_002
