"""A record that was altered in the file, in a whole morning by the command, and its replay."""

import sqlite3
from contextlib import closing

import pytest

from scheduler.commands import run as warmspell


@pytest.fixture
def spoil(demo):
    def change(table: str, field_id: str, old: str, new: str) -> None:
        with closing(sqlite3.connect(demo / "warmspell.sqlite3")) as connection:
            changed = connection.execute(
                f"UPDATE {table} SET record = replace(record, ?, ?) WHERE field_id = ?"
                " AND record LIKE ?",
                (old, new, field_id, f"%{old}%"),
            )
            assert changed.rowcount >= 1
            connection.commit()

    return change


def calls(told) -> dict[str, str]:
    return {one["field_id"]: one["call"] for one in told["fields"]}


@pytest.mark.fault("D08")
@pytest.mark.parametrize("table", ["visits", "sprays"])
def test_a_damaged_record_costs_one_field_its_call_and_nobody_their_morning(
    demo, morning, spoil, capsys, table
):
    _, whole = morning(demo, "--dry-run")
    with closing(sqlite3.connect(demo / "warmspell.sqlite3")) as connection:
        (field_id,) = connection.execute(f"SELECT field_id FROM {table} LIMIT 1").fetchone()
    spoil(table, field_id, "2026-", "2025-")

    code = warmspell(["morning", "--config", str(demo / "farm.toml")])
    said = capsys.readouterr().err
    _, told = morning(demo, "--dry-run")

    assert code == 3
    assert f"{table} row " in said
    assert "does not match its seal" in said
    assert calls(told) | {field_id: ""} == calls(whole) | {field_id: ""}
    (one,) = [one for one in told["fields"] if one["field_id"] == field_id]
    assert one["call"] == "unknown"
    assert "A record of it is damaged" in one["reasons"][0]


@pytest.mark.fault("D08")
def test_such_a_morning_comes_out_again_when_it_is_replayed(demo, spoil, capsys):
    spoil("visits", "windmill", "2026-", "2025-")
    config = ["--config", str(demo / "farm.toml")]
    warmspell(["morning", *config])
    capsys.readouterr()

    code = warmspell(["morning", "--at", "2026-10-06T06:10", "--replay", *config])

    assert code == 0
    assert "same" in capsys.readouterr().out
