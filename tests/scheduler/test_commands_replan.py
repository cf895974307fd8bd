"""The plan of rigs kept, driven and planned again from the command line, on the demo's farm."""

import json
import shutil
from pathlib import Path

import pytest

from scheduler.commands import run

pytest.importorskip("pyvrp", reason="the search is not installed")

FAST = ("--seconds", "0.3")


@pytest.fixture(scope="module")
def demo(tmp_path_factory) -> Path:
    """The demo's farm after its morning of Tuesday 6 October 2026, with one plan kept."""
    folder = tmp_path_factory.mktemp("again") / "demo"
    assert run(["demo", "--out", str(folder)]) in (0, 3)
    config = folder / "farm.toml"
    assert run(["routes", "--config", str(config), *FAST, "--json"]) == 0
    return folder


@pytest.fixture
def farm(demo, tmp_path) -> Path:
    shutil.copytree(demo, tmp_path / "demo")
    return tmp_path / "demo" / "farm.toml"


@pytest.fixture
def planned(warmspell):
    def read(config: Path, *more: str) -> tuple[dict[str, object], str]:
        told = warmspell("routes", "--config", config, "--json", *FAST, *more)
        assert told.code == 0, told.err
        return json.loads(told.out)["routes"], told.err

    return read


def stops_of(plan) -> dict[str, dict[str, object]]:
    return {stop["field_id"]: stop | {"rig": day["rig_id"], "on": day["on"]}
            for day in plan["days"] for stop in day["stops"]}  # fmt: skip


def test_a_plan_is_kept_with_a_rising_revision_unless_it_is_only_looked_at(planned, farm):
    second, _ = planned(farm)
    look, _ = planned(farm, "--dry-run")
    third, _ = planned(farm)
    # The demo's morning keeps the first plan, the fixture the second.
    assert (second["revision"], look["revision"], third["revision"]) == (3, 4, 4)
    assert look["uuid"] is None
    assert len({second["uuid"], third["uuid"], None}) == 3
    assert second["changes"] == third["changes"] == []
    assert second["days"] == third["days"]


def test_a_rig_that_breaks_at_noon_is_out_and_every_change_has_its_reason(warmspell, planned, farm):
    before, _ = planned(farm)
    told = warmspell(
        *("routes", "rig-out", "wide", "--from", "12:00", "--why", "pump"),
        *("--at", "2026-10-06T12:10", "--config", farm),
    )
    assert told.code == 0, told.err
    after, _ = planned(farm, "--at", "2026-10-06T12:10")
    left = [one for one in stops_of(after).values() if one["rig"] == "wide"]
    assert all(one["state"] == "under_way" and one["end_utc"] <= "2026-10-06T17:00" for one in left)
    changed = {one["field_id"]: one for one in after["changes"]}
    gone = {name for name, one in stops_of(before).items() if one["rig"] == "wide"}
    for name in gone - {one["field_id"] for one in left}:
        assert "is out from Tue noon (pump)" in changed[name]["why"]
    assert any("is out from Tue noon (pump)" in one for one in after["notes"])
    back = warmspell("routes", "rig-back", "wide", "--at", "2026-10-06T12:20", "--config", farm)
    assert back.code == 0, back.err
    again, _ = planned(farm, "--at", "2026-10-06T12:20")
    assert "wide" in {one["rig"] for one in stops_of(again).values() if one["state"] == "planned"}


def test_a_skipped_field_is_left_out_until_it_is_put_back(warmspell, planned, farm):
    before, _ = planned(farm)
    name = max(stops_of(before))
    told = warmspell("routes", "skip", name, "--why", "gate locked", "--config", farm)
    assert told.code == 0, told.err
    after, _ = planned(farm)
    assert name not in stops_of(after)
    left = {one["field_id"]: one["why"] for one in after["left_out"]}
    assert left[name] == "skipped: gate locked"
    assert [one["why"] for one in after["changes"] if one["field_id"] == name] == [
        "skipped: gate locked"
    ]
    assert warmspell("routes", "missed", name, "--config", farm).code == 0
    again, _ = planned(farm)
    assert name in stops_of(again)


def test_a_lock_stays_until_it_is_let_go(planned, farm):
    before, _ = planned(farm)
    day = before["days"][-1]
    stop = day["stops"][0]
    by_name = f"{day['rig_id']}/{stop['field_id']}"
    locked, err = planned(farm, "--lock", by_name)
    assert stops_of(locked)[stop["field_id"]]["locked"]
    assert "lock" not in err
    kept, _ = planned(farm)
    assert stops_of(kept)[stop["field_id"]]["locked"]
    free, _ = planned(farm, "--unlock", by_name)
    assert not stops_of(free)[stop["field_id"]]["locked"]
    assert locked["changes"] == free["changes"] == []


@pytest.mark.parametrize(
    ("lock", "words"),
    [
        ("hawk/1", 'lock: got "hawk/1": the plan has no such rig; it has '),
        ("wide", 'lock: got "wide": wanted RIG/FIELD, RIG/NUMBER'),
        ("wide/99", 'lock: got "wide/99": no such stop of Ninety-foot sprayer'),
    ],
)
def test_a_lock_that_cannot_be_read_is_one_line_and_the_rest_is_planned(planned, farm, lock, words):
    plan, err = planned(farm, "--lock", lock)
    assert sum("lock" in one for one in err.splitlines()) == 1
    assert words in err
    assert len(stops_of(plan)) >= 7


def test_a_lock_of_a_stop_of_another_rig_says_whose_it_is(planned, farm):
    before, _ = planned(farm)
    name, stop = next((k, v) for k, v in stops_of(before).items() if v["rig"] == "small")
    _, err = planned(farm, "--lock", f"wide/{name}")
    assert f"say {stop['rig']}/{name}" in err


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (("rig-out", "wyde"), 'rig: got "wyde", which the config does not have; did you mean'),
        (("skip", "nowhere"), 'field: got "nowhere", wanted the id or name'),
        (("rig-out", "wide", "--from", "noonish"), "--from: got 'noonish', wanted a date"),
        (("rig-out", "wide", "--from", "12:00", "--until", "11:00"), "wanted a time after --from"),
        (("skip", "--why", "x" * 201), "Missing argument"),
    ],
)
def test_a_report_that_cannot_be_used_is_one_line_and_is_not_kept(warmspell, farm, asked, words):
    told = warmspell("routes", *asked, "--config", farm)
    assert told.code in (64, 65)
    assert words in told.err


def test_a_config_named_before_the_word_is_taken_too(warmspell, farm):
    told = warmspell("routes", "--config", farm, "rig-back", "wide")
    assert told.code == 0, told.err
    assert "Ninety-foot sprayer: back in the plans" in told.out


def test_the_table_tells_what_changed(warmspell, farm):
    plan = ("routes", "--config", farm, *FAST)
    assert warmspell("routes", "rig-out", "small", "--config", farm).code == 0
    told = warmspell(*plan)
    told_whole = " ".join(told.out.split())
    assert "changed how why" in told_whole
    assert "Old sixty-foot sprayer is out from Tue 6:10 am." in told.err


def test_a_stop_said_to_be_done_is_logged_once_as_a_spray_and_stays(warmspell, planned, farm):
    before, _ = planned(farm)
    name, stop = min(stops_of(before).items(), key=lambda one: one[1]["end_utc"])
    done = ("routes", "done", name, "--at", "2026-10-06T12:30", "--config", farm)
    told = warmspell(*done)
    assert told.code == 0, told.err
    assert "spray kept" in told.out
    assert "Re-entry not before" in told.out
    assert "was known already" in warmspell(*done).out
    listed = warmspell("spray", "list", "--json", "--config", farm)
    assert listed.out.count(name) == 1
    after, _ = planned(farm, "--at", "2026-10-06T13:00")
    assert stops_of(after)[name] == stop | {"state": "done"}
