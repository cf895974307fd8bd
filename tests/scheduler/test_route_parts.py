"""A part of a field reported done: remembered until the last one, which logs the spray."""

import json
import shutil
from pathlib import Path

import pytest

FAST = ("--seconds", "0.3")


@pytest.fixture
def farm(demo_once, tmp_path, warmspell) -> Path:
    """The demo's farm with rigs so narrow that fields must be planned in parts."""
    shutil.copytree(demo_once, tmp_path / "demo")
    config = tmp_path / "demo" / "farm.toml"
    text = config.read_text("utf-8")
    text = text.replace("swath_ft = 90", "swath_ft = 22").replace("swath_ft = 60", "swath_ft = 16")
    config.write_text(text, "utf-8")
    assert warmspell("routes", "--config", config, *FAST).code == 0
    return config


def plan_of(warmspell, config, *more: str) -> dict:
    told = warmspell("routes", "--config", config, "--json", "--dry-run", *FAST, *more)
    assert told.code == 0, told.err
    return json.loads(told.out)["routes"]


def parts_of(plan, field_id: str) -> set[int]:
    stops = [stop for one in plan["days"] for stop in one["stops"]]
    rows = [one for one in (*stops, *plan["left_out"]) if one["field_id"] == field_id]
    return {one["part"] for one in rows if one.get("state") != "done"}


def sprays(warmspell, config, field_id: str) -> list[dict]:
    told = warmspell("spray", "list", "--json", "--config", config)
    (rows,) = [one for one in json.loads(told.out).values() if isinstance(one, list)]
    return [one for one in rows if one["field_id"] == field_id]


def test_parts_are_done_one_by_one_and_the_last_logs_the_spray(warmspell, farm):
    before = sprays(warmspell, farm, "windmill")
    assert parts_of(plan_of(warmspell, farm), "windmill") == {1, 2}

    told = warmspell(
        *("routes", "done", "windmill", "--part", "1", "--when", "05:30", "--config", farm)
    )
    assert told.code == 0, told.err
    assert "part 1 of 2 is done; to do: part 2" in told.out
    assert sprays(warmspell, farm, "windmill") == before
    assert parts_of(plan_of(warmspell, farm), "windmill") == {2}

    again = warmspell("routes", "done", "windmill", "--part", "1", "--config", farm)
    assert again.code == 65
    assert "was reported done before" in again.err

    last = warmspell("routes", "done", "windmill", "--when", "06:00", "--config", farm)
    assert last.code == 0, last.err
    (kept,) = [one for one in sprays(warmspell, farm, "windmill") if one not in before]
    assert kept["sprayed_utc"].startswith("2026-10-06T11:00")
    assert parts_of(plan_of(warmspell, farm), "windmill") == set()


def test_a_part_that_was_not_done_after_all_is_taken_back(warmspell, farm):
    done = ("routes", "done", "windmill", "--part", "2", "--config", farm)
    assert warmspell(*done).code == 0
    assert parts_of(plan_of(warmspell, farm), "windmill") == {1}

    assert warmspell(*done, "--take-back").code == 0
    assert parts_of(plan_of(warmspell, farm), "windmill") == {1, 2}
    assert warmspell(*done, "--take-back").code == 65


def test_a_field_planned_whole_has_no_parts(warmspell, farm):
    told = warmspell("routes", "done", "creek-bottom", "--part", "1", "--config", farm)
    assert told.code == 65
    assert "is not planned in parts" in told.err


def test_the_board_does_not_log_a_whole_field_for_a_part(farm):
    from scheduler.board.rigs import KeptRigPlans
    from scheduler.opening import open_farm
    from web.rigs_desk import RigsRefusal

    with open_farm(farm) as opened:
        desk = KeptRigPlans(lambda: opened)
        with pytest.raises(RigsRefusal, match="planned in parts"):
            desk.done("windmill", "", "Dell")
