"""A past season run again from recorded issues: gaps and faults are told, what came decides."""

import json
import shutil
import sqlite3
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from io import StringIO
from pathlib import Path

import pytest

from scheduler.commands import run as warmspell
from scheduler.demo.cells import CELLS
from scheduler.demo.nws_form import gridpoints_name

FIRST = datetime(2026, 10, 6, 11, tzinfo=UTC)
#: The demo's weather is written for these mornings; the night to the 14th freezes.
DAYS = 9
OURS = "warmspell"


@pytest.fixture(scope="module")
def whole_season(tmp_path_factory):
    """Nine mornings of the demo's weather, each with a forecast of what then comes."""
    folder = tmp_path_factory.mktemp("recorded") / "season"
    for day in range(DAYS):
        later = timedelta(days=day)
        issue = folder / f"{FIRST + later:%Y-%m-%dT%HZ}"
        issue.mkdir(parents=True)
        for cell in CELLS.values():
            moved = replace(cell, first_utc=cell.first_utc + later)
            moved = replace(moved, issued_utc=cell.issued_utc + later)
            (issue / gridpoints_name(cell.spot)).write_text(json.dumps(moved.answer()), "utf-8")
    return folder


@pytest.fixture
def season(whole_season, tmp_path):
    """A copy of it that a test may spoil."""
    return Path(shutil.copytree(whole_season, tmp_path / "season"))


def run_json(farm, folder, *more):
    """Run a season: (rules by name, notes)."""
    arguments = ["verify", "--backtest", "--folder", str(folder), "--json"]
    out, err = StringIO(), StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        code = warmspell([*arguments, "--config", str(farm / "farm.toml"), *more])
    assert (code, "Traceback" in err.getvalue()) == (0, False), err.getvalue()
    shown = json.loads(out.getvalue())
    assert shown["simulated"] is False
    return {one["rule"]: one for one in shown["rules"]}, shown["notes"]


@pytest.fixture(scope="module")
def as_told(demo_made_once, whole_season, tmp_path_factory):
    """The rules on the season as the issues tell it; the farm is left as it was."""
    farm = Path(shutil.copytree(demo_made_once, tmp_path_factory.mktemp("told") / "farm"))
    before = (farm / "warmspell.sqlite3").read_bytes()
    rules, _ = run_json(farm, whole_season)
    assert (farm / "warmspell.sqlite3").read_bytes() == before
    return rules


def test_every_rule_runs_on_the_same_mornings_within_the_rigs_hours(as_told):
    rules = as_told
    assert list(rules) == [
        *("warmspell", "first mature first", "earliest spray-by first", "random", "habit"),
        "habit or 5 October",
    ]
    assert len({one["usable_rig_hours"] for one in rules.values()}) == 1
    for one in rules.values():
        assert 0 < one["rig_hours"] <= one["usable_rig_hours"]
        assert 25 <= one["worth_pct"] <= 100
        assert one["ripe_caught_pct"] <= one["caught_pct"]
        assert one["behind_pct"] == pytest.approx(rules[OURS]["worth_pct"] - one["worth_pct"])
    assert rules[OURS]["caught_pct"] < 100


def test_another_seed_moves_only_the_random_order(as_told, demo, whole_season):
    other, _ = run_json(demo, whole_season, "--seed", "5")
    assert {name for name in other if as_told[name] != other[name]} <= {"random"}


def test_a_morning_that_is_missing_broken_or_old_is_told_in_a_line_and_the_rest_runs(demo, season):
    names = sorted(one.name for one in season.iterdir())
    for file in (season / names[2]).iterdir():
        file.unlink()
    (season / names[2]).rmdir()
    for file in (season / names[4]).iterdir():
        file.write_text("<html>later</html>", "utf-8")
    for file in (season / names[6]).iterdir():
        file.write_bytes((season / names[5] / file.name).read_bytes())
    (season / "notes").mkdir()
    twice = season / names[7].replace("T11Z", "T1530Z")
    twice.mkdir()

    rules, notes = run_json(demo, season)
    assert len(rules) == 6
    text = "\n".join(notes)
    assert "no issue of 2026-10-08: nobody is called and no rig goes out" in text
    assert any(one.startswith(f"{names[4]}: ") and "cells: " in one for one in notes)
    assert f"{names[6]}: its answers are not newer than those of the issue before" in text
    assert "notes: passed over, wanted a name such as 2025-10-01T11Z" in text
    assert f"{twice.name}: passed over, the morning of that date is {names[7]}" in text
    assert "got 8 mornings, wanted 30: too few to judge a season" in text


def test_what_was_observed_decides_over_what_was_told(as_told, demo, whole_season, tmp_path):
    """A killing freeze on the first night, that no forecast saw, catches what was not sprayed."""
    record = tmp_path / "seen.csv"
    record.write_text("date,low_f\n2026-10-07,20\n", "utf-8")
    frozen, _ = run_json(demo, whole_season, "--observed", str(record))
    assert frozen[OURS]["caught_pct"] > as_told[OURS]["caught_pct"]
    assert all(one["worth_pct"] < as_told[name]["worth_pct"] for name, one in frozen.items())


def test_rain_that_was_observed_washes_off_what_was_sprayed(as_told, demo, whole_season, tmp_path):
    record = tmp_path / "seen.csv"
    days = [f"2026-10-{day:02},0.5" for day in range(6, 16)]
    record.write_text("date,rain_in\n" + "\n".join(days) + "\n", "utf-8")
    dry, wet = as_told, run_json(demo, whole_season, "--observed", str(record))[0]
    assert all(wet[name]["worth_pct"] < dry[name]["worth_pct"] for name in dry)
    assert {name: one["caught_pct"] for name, one in wet.items()} == {
        name: one["caught_pct"] for name, one in dry.items()
    }


def test_a_farm_without_counts_sprays_nobody_and_says_so(demo, whole_season):
    with sqlite3.connect(demo / "warmspell.sqlite3") as database:
        database.execute("delete from visits")
    database.close()
    rules, notes = run_json(demo, whole_season)
    assert all(one["caught_pct"] == pytest.approx(100) for one in rules.values())
    assert any("no field was ever counted mature" in one for one in notes)


def test_the_table_says_what_it_does_not_prove(demo, whole_season, capsys):
    config = str(demo / "farm.toml")
    assert (
        warmspell(["verify", "--backtest", "--folder", str(whole_season), "--config", config]) == 0
    )
    out, err = capsys.readouterr()
    assert "habit or 5 October" in out
    assert "response is modelled, never measured" in err
    assert "one season proves little" in err


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--station", "KQQX"], "--station: wanted not with --folder"),
        (["--seasons", "3"], "--seasons: wanted not with --folder"),
    ],
)
def test_options_of_the_other_forms_are_refused(demo, whole_season, options, said, capsys):
    arguments = ["verify", "--backtest", "--folder", str(whole_season), *options]
    assert warmspell([*arguments, "--config", str(demo / "farm.toml")]) == 64
    assert said in capsys.readouterr().err


def test_a_folder_without_issues_is_refused_in_one_line(demo, tmp_path, capsys):
    empty = tmp_path / "empty"
    empty.mkdir()
    arguments = ["verify", "--backtest", "--folder", str(empty)]
    assert warmspell([*arguments, "--config", str(demo / "farm.toml")]) == 65
    (line,) = capsys.readouterr().err.splitlines()
    assert "got no issue, wanted folders named as 2025-10-01T11Z" in line
