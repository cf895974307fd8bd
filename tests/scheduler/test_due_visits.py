"""Which fields to walk next, as people and programs are told."""

import json

import pytest

from scheduler.commands import run as warmspell


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    folder = tmp_path_factory.mktemp("due") / "farm"
    assert warmspell(["demo", "--out", str(folder)]) == 0
    return str(folder / "farm.toml")


def test_visits_are_told_best_first(demo, capsys):
    capsys.readouterr()
    code = warmspell(["scout", "due", "--config", demo, "--json"])
    due = json.loads(capsys.readouterr().out)["due"]
    worth = [one["gain_acres"] for one in due if one["gain_acres"] is not None]

    assert code == 0
    assert worth == sorted(worth, reverse=True)
    assert worth[0] > 10
    assert {"look", "unknown"} <= {one["call"] for one in due}
    assert "spray" not in {one["call"] for one in due}


def test_the_list_says_why_each_field_is_in_it(demo, capsys):
    capsys.readouterr()
    warmspell(["scout", "due", "--config", demo])
    told = capsys.readouterr()

    assert "Never scouted; even odds that it is mature are assumed." in told.out
    assert "by an assumed opening rate" in told.out
    assert "away from your hand" in told.err


def test_without_a_morning_it_says_to_run_one(tmp_path, capsys):
    warmspell(["init", str(tmp_path / "farm")])
    code = warmspell(["scout", "due", "--config", str(tmp_path / "farm" / "farm.toml")])

    assert code == 75
    assert "warmspell morning --dry-run" in capsys.readouterr().err
