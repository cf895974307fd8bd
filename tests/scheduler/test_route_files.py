"""Sheets, calendars and maps of a plan as files, from the command line."""

import json
import shutil
from pathlib import Path

import pytest

from scheduler.written_files import file_names

pytest.importorskip("pyvrp", reason="the search is not installed")


@pytest.fixture
def told(warmspell, demo_once, tmp_path):
    """What a form of the plan says on stdout, of a farm of the test's own."""
    shutil.copytree(demo_once, tmp_path / "demo")

    def tell(*form: object):
        config = tmp_path / "demo" / "farm.toml"
        said = warmspell("routes", "--config", config, *form, "--seconds", "0.3")
        assert said.code == 0, said.err
        return said

    return tell


def test_each_rigs_day_is_a_sheet_and_a_sheet_of_an_earlier_plan_is_pointed_out(told, tmp_path):
    plan = json.loads(told("--json").out)["routes"]
    folder = tmp_path / "sheets"
    folder.mkdir()
    (folder / "mine.html").write_text("<p>kept</p>", "utf-8")
    written = told("--sheets", folder).out.split()
    assert [Path(one).name for one in written] == [
        f"{day['on']}-{day['rig_id']}.html" for day in plan["days"]
    ]
    for name, day in zip(written, plan["days"], strict=True):
        page = Path(name).read_text("utf-8")
        assert page.count("<section") == 1
        assert all(stop["field_name"] in page for stop in day["stops"])
        assert "The label is the law" in page
    shutil.copy(written[0], folder / "2026-10-02-wide.html")
    again = told("--sheets", folder)
    assert "not of this plan, throw them away: 2026-10-02-wide.html." in again.err
    assert (folder / "2026-10-02-wide.html").exists()


def test_all_sheets_go_into_one_file_that_ends_in_html(told, tmp_path):
    plan = json.loads(told("--json").out)["routes"]
    assert told("--sheets", tmp_path / "all.html").out.strip() == str(tmp_path / "all.html")
    page = (tmp_path / "all.html").read_text("utf-8")
    assert page.count("<section") == len(plan["days"])


def test_a_calendar_for_each_rig_is_written_where_a_folder_is_named(told, tmp_path):
    pytest.importorskip("icalendar", reason="the writer of calendars is not installed")
    plan = json.loads(told("--json").out)["routes"]
    written = [Path(one) for one in told("--ics", tmp_path / "ics").out.split()]
    assert {one.stem for one in written} == {day["rig_id"] for day in plan["days"]}
    for one in written:
        stops = [stop for day in plan["days"] if day["rig_id"] == one.stem for stop in day["stops"]]
        assert one.read_text("utf-8").count("BEGIN:VEVENT") == len(stops)
    assert told("--ics").out.startswith("BEGIN:VCALENDAR")


def test_the_map_has_a_line_for_each_rigs_day_and_a_point_for_each_stop(told):
    plan = json.loads(told("--json").out)["routes"]
    features = json.loads(told("--geojson").out)["features"]
    kinds = [one["properties"]["kind"] for one in features]
    assert kinds.count("rig_day") == len(plan["days"])
    assert kinds.count("stop") == plan["fields"]
    for one in features:
        # The demo's farm lies near 34.6 north, 100.9 west.
        if one["geometry"] and one["geometry"]["type"] == "Point":
            east, north = one["geometry"]["coordinates"]
            assert -102 < east < -100 < 34 < north < 36


def test_sheets_that_cannot_be_written_name_the_folder(warmspell, demo_once, tmp_path):
    shutil.copytree(demo_once, tmp_path / "demo")
    taken = tmp_path / "taken"
    taken.write_text("x", "utf-8")
    config = tmp_path / "demo" / "farm.toml"
    said = warmspell("routes", "--config", config, "--sheets", taken, "--seconds", "0.3")
    assert said.code == 65
    assert "taken: cannot be written" in said.err


@pytest.mark.parametrize("asked", [("--json", "--sheets", "x"), ("--geojson", "--ics")])
def test_two_forms_at_once_are_refused(warmspell, demo_once, asked):
    assert warmspell("routes", "--config", demo_once / "farm.toml", *asked).code == 64


def test_file_names_keep_apart_what_free_text_named(tmp_path):
    assert file_names(["a/b", "a b", "A_B", "../x", ""], ".html") == [
        "a_b.html",
        "a_b-2.html",
        "A_B-3.html",
        "_x.html",
        "_.html",
    ]
