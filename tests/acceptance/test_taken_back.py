"""What is taken back, in whole mornings by the command: from then on, and never before."""

import json
import sqlite3
from contextlib import closing

import pytest

from scheduler.commands import run as warmspell


@pytest.fixture
def asked(demo, capsys):
    """Ask the demo's farm something: (exit code, stdout, stderr)."""

    def ask(*words):
        capsys.readouterr()
        code = warmspell([*words, "--config", str(demo / "farm.toml")])
        told = capsys.readouterr()
        return code, told.out, told.err

    return ask


@pytest.fixture
def walked_and_sprayed(asked):
    """What a morning says of all fields, one it would spray, and the id of its spray, logged."""
    before = json.loads(asked("morning", "--dry-run", "--json")[1])["fields"]
    field_id = next(one["field_id"] for one in before if one["call"] == "spray")
    assert asked("spray", "log", field_id, "--when", "2026-10-06T05:00")[0] == 0
    sprays = json.loads(asked("spray", "list", "--json")[1])["sprays"]
    return before, field_id, next(one["uuid"] for one in sprays if one["field_id"] == field_id)


def call_of(out: str, field_id: str) -> tuple[str, str]:
    (one,) = [one for one in json.loads(out)["fields"] if one["field_id"] == field_id]
    return one["call"], one["reasons"][0]


def test_a_spray_taken_back_puts_its_field_back_where_it_was_in_the_order(
    asked, walked_and_sprayed
):
    before, field_id, uuid = walked_and_sprayed
    assert call_of(asked("morning", "--dry-run", "--json")[1], field_id)[0] == "wait"

    assert asked("spray", "undo", uuid[:8], "--why", "wrong field")[0] == 0

    assert json.loads(asked("morning", "--dry-run", "--json")[1])["fields"] == before


def test_a_morning_decided_of_before_does_not_know_of_it_and_one_kept_comes_out_again(
    asked, demo, walked_and_sprayed
):
    _, field_id, uuid = walked_and_sprayed
    config = demo / "farm.toml"
    kept = asked("morning", "--json")[1]
    assert call_of(kept, field_id)[0] == "wait"
    text = config.read_text("utf-8")
    # An hour later somebody sees the mistake.
    assert text.count("2026-10-06T11:10") == 1
    config.write_text(text.replace("2026-10-06T11:10", "2026-10-06T12:10"), "utf-8")
    asked("spray", "undo", uuid[:8])

    before = asked("morning", "--dry-run", "--json", "--at", "2026-10-06T06:40")[1]
    after = asked("morning", "--dry-run", "--json", "--at", "2026-10-06T07:10")[1]
    code, again, err = asked("morning", "--replay", "--json", "--at", "2026-10-06T06:10")

    assert (call_of(before, field_id)[0], call_of(after, field_id)[0]) == ("wait", "spray")
    assert (code, again) == (0, kept)
    assert err.startswith("same: ")


@pytest.mark.fault("D08")
def test_a_damaged_retraction_makes_its_field_unknown_and_a_lost_one_leaves_it_sprayed(
    asked, demo, walked_and_sprayed
):
    _, field_id, uuid = walked_and_sprayed
    asked("spray", "undo", uuid[:8], "--why", "wrong field")
    with closing(sqlite3.connect(demo / "warmspell.sqlite3")) as connection:
        connection.execute("UPDATE retractions SET record = replace(record, 'wrong', 'right')")
        connection.commit()
    code, out, err = asked("morning", "--dry-run", "--json")
    call, reason = call_of(out, field_id)
    assert (code, call) == (3, "unknown")
    assert "A record of it is damaged (retractions, row 1)" in reason
    assert "retractions row 1" in err
    assert "retractions row 1" in asked("doctor", "--offline")[1]

    with closing(sqlite3.connect(demo / "warmspell.sqlite3")) as connection:
        connection.execute("DELETE FROM retractions")
        connection.commit()
    assert call_of(asked("morning", "--dry-run", "--json")[1], field_id)[0] == "wait"


def test_when_a_visit_is_taken_back_the_older_one_speaks_unless_it_is_too_old(asked):
    fields = json.loads(asked("morning", "--dry-run", "--json")[1])["fields"]
    field_id = next(one["field_id"] for one in fields if one["call"] == "spray")
    (only,) = json.loads(asked("scout", "list", field_id, "--json")[1])["visits"]
    asked("scout", "add", field_id, "--nacb", "9", "--observed", "2026-10-06T05:00")
    newest = json.loads(asked("scout", "list", field_id, "--json")[1])["visits"][0]
    now = asked("morning", "--dry-run", "--json")[1]
    assert call_of(now, field_id)[0] != "spray"

    asked("scout", "undo", newest["uuid"][:8])
    assert json.loads(asked("morning", "--dry-run", "--json")[1])["fields"] == fields

    asked("scout", "undo", only["uuid"][:8])
    # Of summer, too old to say anything of October.
    asked("scout", "add", field_id, "--open", "90", "--observed", "2026-08-05T05:00")
    assert call_of(asked("morning", "--dry-run", "--json")[1], field_id)[0] == "unknown"
