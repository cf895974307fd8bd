"""``warmspell backup`` and ``warmspell restore``, as an operator types them."""

import json
import sqlite3
from contextlib import closing
from datetime import UTC, date, datetime
from pathlib import Path
from uuid import uuid4

import pytest

from farm.message import PlannedMessage
from farm.records import Visit
from scheduler.worker_lock import lock_path, only_worker
from storage.stores import open_stores

#: The clock of the starter farm: 6 am in Chicago, when its digests go out.
NOW = datetime(2026, 10, 6, 11, tzinfo=UTC)
DATABASE = "warmspell.sqlite3"


@pytest.fixture
def filled(farm) -> Path:
    """The starter farm with three visits, and a message that waits to be sent."""
    with open_stores(DATABASE, farm.parent) as stores:
        stores.visits.add([_visit(), _visit(), _visit()], NOW)
        waiting = PlannedMessage(
            person_id="ana",
            local_date=date(2026, 10, 6),
            kind="morning",
            revision=0,
            channel="mail",
            address="ana@example.org",
            message_id="<one@sandhill.example>",
            subject="Tue 6 Oct: spray 4",
            body=b"North Draw",
        )
        stores.deliveries.plan([waiting], NOW)
    return farm


def _visit() -> Visit:
    return Visit(uuid=uuid4(), field_id="north-draw", observed_utc=NOW, percent_open=64.0)


def test_a_backup_with_a_drill_tells_counts_and_seals(warmspell, filled, tmp_path):
    told = warmspell("backup", tmp_path / "kept.zip", "--config", filled, "--drill")

    assert told.code == 0
    assert "visits: 3 rows, 3 seals whole" in told.out
    assert "every row compared" in told.out
    assert (tmp_path / "kept.zip").exists()
    assert "ana@" not in told.out + told.err


def test_a_backup_into_a_folder_is_named_for_the_moment(warmspell, filled, tmp_path):
    told = warmspell("backup", tmp_path, "--config", filled, "--json")
    kept = json.loads(told.out)
    assert kept["file"] == str(tmp_path / "warmspell-20261006T110000Z.zip")
    assert (kept["rows"]["visits"], kept["damaged"], kept["exit_code"]) == (3, [], 0)

    again = warmspell("backup", tmp_path, "--config", filled)
    assert again.code == 74
    assert "there is a file of this name already" in again.err


def test_a_farm_that_is_lost_is_put_back_and_sends_nothing_twice(warmspell, filled, tmp_path):
    kept = tmp_path / "kept.zip"
    warmspell("backup", kept, "--config", filled)
    for one in filled.parent.glob(f"{DATABASE}*"):
        one.unlink()

    told = warmspell("restore", kept, "--config", filled)

    assert told.code == 0
    assert "1 messages that waited then are held back" in told.out
    assert "the morning of 2026-10-06 is not sent again" in told.out
    with open_stores(DATABASE, filled.parent) as stores:
        assert len(stores.visits.all()) == 3
        assert stores.runs.missed_on(date(2026, 10, 6))
        with stores.database.read() as connection:
            states = connection.exec_driver_sql("SELECT state FROM deliveries").scalars().all()
    assert states == ["suppressed"]


def test_a_morning_that_is_still_to_come_is_not_given_up(warmspell, filled, tmp_path):
    kept = tmp_path / "kept.zip"
    filled.write_text(filled.read_text().replace("T11:00:00Z", "T10:30:00Z"))
    warmspell("backup", kept, "--config", filled)
    told = warmspell("restore", kept, "--config", filled, "--replace")
    assert told.code == 0
    with open_stores(DATABASE, filled.parent) as stores:
        assert not stores.runs.missed_on(date(2026, 10, 6))


def test_what_stands_there_is_not_touched_without_a_word(warmspell, filled, tmp_path):
    kept = tmp_path / "kept.zip"
    warmspell("backup", kept, "--config", filled)
    with open_stores(DATABASE, filled.parent) as stores:
        stores.visits.add([_visit()], NOW)

    refused = warmspell("restore", kept, "--config", filled)
    assert refused.code == 74
    assert "wanted an empty place" in refused.err
    with open_stores(DATABASE, filled.parent) as stores:
        assert len(stores.visits.all()) == 4

    told = warmspell("restore", kept, "--config", filled, "--replace")
    assert told.code == 0
    (old,) = filled.parent.glob(f"{DATABASE}.before-*Z")
    assert str(old) in told.out
    with closing(sqlite3.connect(old)) as connection:
        assert connection.execute("SELECT count(*) FROM visits").fetchone() == (4,)
    with open_stores(DATABASE, filled.parent) as stores:
        assert len(stores.visits.all()) == 3


def test_nothing_is_put_back_under_a_worker(warmspell, filled, tmp_path):
    kept = tmp_path / "kept.zip"
    warmspell("backup", kept, "--config", filled)
    with only_worker(lock_path(filled.parent, DATABASE)):
        told = warmspell("restore", kept, "--config", filled, "--replace")
    assert told.code == 75
    assert "another worker runs" in told.err


@pytest.mark.fault("D08")
def test_a_backup_of_altered_rows_is_kept_and_names_them(warmspell, filled, tmp_path):
    with closing(sqlite3.connect(filled.parent / DATABASE)) as connection:
        connection.execute("UPDATE visits SET record = replace(record, '64', '94') WHERE id = 2")
        connection.commit()

    told = warmspell("backup", tmp_path / "kept.zip", "--config", filled, "--drill")

    assert told.code == 74
    assert "visits row 2" in told.err
    assert "visits: 3 rows, 2 seals whole" in told.out
