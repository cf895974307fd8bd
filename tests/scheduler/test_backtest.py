"""``warmspell verify --backtest`` as a person uses it, on two small seasons."""

import json

import pytest

from dispatch.season.run import Outcome
from scheduler.backtest import CAUTION, Backtest, backtest_json, backtest_rows
from scheduler.backtest_picture import plot_backtest

RULES = [
    "warmspell",
    "warmspell, walked when told",
    "warmspell's order, never waiting",
    "first mature first",
    "earliest spray-by first",
    "random",
    "habit",
    "habit or 5 October",
]
SMALL = ("--backtest", "--seasons", 2, "--fields", 10, "--seed", 9)


@pytest.fixture(scope="module")
def ran():
    """A backtest made by hand: two rules, two seasons."""
    made = [
        (0, "warmspell", 80.0, 6.0),
        (1, "warmspell", 90.0, 2.0),
        (0, "habit", 40.0, 30.0),
        (1, "habit", 60.0, 10.0),
    ]
    outcomes = tuple(Outcome(*one[:3], one[3], one[3] / 2, 10.0, 20.0) for one in made)
    return Backtest(2, 10, 9, outcomes)


def test_two_seasons_are_told_as_a_table_and_drawn(warmspell, tmp_path):
    picture = tmp_path / "rules.png"
    told = warmspell("verify", *SMALL, "--plot", picture)
    assert told.code == 0
    lines = told.out.splitlines()
    assert len(lines) == 1 + len(RULES)
    assert [line.split("  ")[0] for line in lines[1:]] == RULES
    assert "simulated" in told.err
    assert picture.read_bytes().startswith(b"\x89PNG")


def test_two_seasons_as_json_say_that_they_are_simulated(warmspell):
    told = json.loads(warmspell("verify", *SMALL, "--json").out)
    assert told["simulated"] is True
    assert told["run"] == {"seasons": 2, "fields": 10, "seed": 9}
    assert [one["rule"] for one in told["rules"]] == RULES
    assert len(told["outcomes"]) == 2 * len(RULES)


def test_rows_hold_paired_differences(ran):
    ours, habit = backtest_rows(ran.scores)
    assert ours == ("warmspell", "85.0", "80.5", "", "4.0 %", "2.0 %")
    # Differences 40 and 30: mean 35, half-width 1.96 x 7.071 / 1.414 = 9.8.
    assert habit == ("habit", "50.0", "41.0", "+35.00 +- 9.80", "20.0 %", "10.0 %")


def test_json_of_one_season_has_no_interval(ran):
    one = Backtest(1, 10, 9, tuple(each for each in ran.outcomes if each.season == 0))
    told = json.loads(backtest_json(one))
    assert told["caution"] == CAUTION
    assert told["rules"][1]["behind_pm_pct"] is None


def test_the_picture_of_one_ink_is_the_same_each_time(ran, tmp_path):
    pytest.importorskip("matplotlib")
    ran = Backtest(2, 10, 9, (*ran.outcomes, *(_first_mature(one) for one in ran.outcomes[:2])))
    for name in ("a.svg", "b.svg"):
        plot_backtest(ran, tmp_path / name)
    first = (tmp_path / "a.svg").read_text("utf-8")
    assert first == (tmp_path / "b.svg").read_text("utf-8")
    assert "simulated" in first


def _first_mature(one: Outcome) -> Outcome:
    return Outcome(one.season, "first mature first", one.worth_pct - 1, 5.0, 1.0, 10.0, 20.0)


@pytest.mark.parametrize("name", ["rules.gif", "nowhere/rules.png"])
def test_a_picture_that_cannot_be_drawn_is_told_before_the_work(warmspell, tmp_path, name):
    told = warmspell("verify", "--backtest", "--plot", tmp_path / name)
    assert (told.code, told.out) == (65, "")
    assert told.err.count("\n") == 1
    assert "--plot: got" in told.err


def test_options_of_the_other_form_are_refused(warmspell, tmp_path):
    told = warmspell("verify", "--backtest", "--observed", tmp_path / "seen.csv")
    assert told.code == 64
    assert "--observed: wanted only without --backtest" in told.err
    told = warmspell("verify", "--station", "KQQX", "--seasons", 3)
    assert told.code == 64
    assert "--seasons: wanted only with --backtest" in told.err
