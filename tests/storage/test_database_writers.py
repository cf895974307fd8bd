"""Several writers at once, and writes that cannot be made."""

import re
import threading
import time
from contextlib import closing
from datetime import datetime

import pytest
from sqlalchemy import func, insert, select, update

from storage import transactions
from storage.database import open_database
from storage.errors import StorageError
from storage.stores import open_stores
from storage.tables import fields, rejected_visits


@pytest.mark.fault("D02")
def test_four_threads_reading_then_writing_lose_nothing(farm_address, now):
    # Two Databases on one file, so that the queue inside one of them is not what saves it.
    opened = [open_database(farm_address), open_database(farm_address)]
    start = {"id": "count", "first_seen_utc": now, "last_seen_utc": now, "record": "0"}
    with opened[0].write() as connection:
        connection.execute(insert(fields), start)
    faults: list[Exception] = []

    def count_up(number: int) -> None:
        for _ in range(50):
            try:
                with opened[number % 2].write() as connection:
                    seen = int(connection.execute(select(fields.c.record)).scalar_one())
                    connection.execute(update(fields).values(record=str(seen + 1)))
            except Exception as fault:
                faults.append(fault)

    threads = [threading.Thread(target=count_up, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    with opened[0].read() as connection:
        counted = connection.execute(select(fields.c.record)).scalar_one()
    for one in opened:
        one.close()
    assert faults == []
    assert counted == "200"


@pytest.fixture
def impatient(monkeypatch):
    monkeypatch.setattr(transactions, "BUSY_TIMEOUT_S", 0.1)


@pytest.mark.fault("D01")
def test_a_writer_that_waited_too_long_is_told_to_try_again(impatient, stores, farm_address, now):
    with (
        closing(open_database(farm_address)) as other,
        other.write(),
        pytest.raises(StorageError, match=r"writing for 0\.1 s, try again") as refused,
    ):
        stores.visits.reject([("no field", "x;1")], now)

    assert "nothing was saved" in str(refused.value)
    assert refused.value.busy
    assert stores.visits.rejected() == ()


def test_readers_do_not_wait_for_a_writer(impatient, stores, farm_address, a_field, now):
    stores.fields.remember([a_field()], now)
    with closing(open_database(farm_address)) as other, other.write() as connection:
        connection.execute(update(fields).values(record="changed"))
        assert len(stores.fields.known()) == 1


def test_a_reader_sees_one_moment_whatever_is_written_meanwhile(stores, now):
    asked = select(func.count()).select_from(rejected_visits)
    with stores.database.read() as connection:
        before = connection.execute(asked).scalar_one()
        stores.visits.reject([("no field", "x;1")], now)
        during = connection.execute(asked).scalar_one()

    assert (before, during, len(stores.visits.rejected())) == (0, 0, 1)


def test_numbers_of_rows_rise_in_the_order_of_commits(stores, farm_address, now):
    # The last word of a consent counts by its number, so a number taken early and committed late
    # would undo a stop.
    started = threading.Event()

    def late() -> None:
        with closing(open_database(farm_address)) as other:
            started.set()
            with other.write() as connection:
                row = {"reason": "late", "raw": "", "rejected_utc": now}
                connection.execute(insert(rejected_visits), row)

    with stores.database.write() as connection:
        thread = threading.Thread(target=late)
        thread.start()
        started.wait(10)
        time.sleep(0.2)
        row = {"reason": "early", "raw": "", "rejected_utc": now}
        connection.execute(insert(rejected_visits), row)
    thread.join()

    assert [row.reason for row in stores.visits.rejected()] == ["early", "late"]


def test_a_write_that_fails_half_way_leaves_nothing(stores, now):
    row = {"reason": "no field", "raw": "x;1", "rejected_utc": now}

    def fail_half_way() -> None:
        with stores.database.write() as connection:
            connection.execute(insert(rejected_visits), row)
            raise RuntimeError

    with pytest.raises(RuntimeError):
        fail_half_way()

    assert stores.visits.rejected() == ()


@pytest.mark.fault("D04")
def test_a_full_disk_is_said_in_plain_words_and_nothing_is_kept(farm_file, now):
    with open_stores(farm_file, ".") as stores:
        with stores.database.read() as connection:
            pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
            connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(StorageError, match="disk is full; make room; nothing was saved"):
            stores.visits.reject([("no field", "x" * 500_000)], now)

        assert stores.visits.rejected() == ()


def test_a_time_without_an_offset_is_refused(stores):
    with pytest.raises(StorageError, match="wanted a time with its offset"):
        stores.visits.reject([("no field", "x;1")], datetime(2026, 10, 6, 5, 30))


def test_values_do_not_show_in_errors(stores, now):
    row = {"id": "f", "first_seen_utc": now, "last_seen_utc": now, "record": "secret place"}
    with pytest.raises(StorageError) as refused, stores.database.write() as connection:
        connection.execute(insert(fields), [row, row])

    assert re.search("UNIQUE constraint failed: fields.id|unique.*pk_fields", str(refused.value))
    assert "secret place" not in str(refused.value)


@pytest.mark.fault("D03")
def test_threads_of_one_program_write_in_turn(stores, now):
    outcomes: list[str] = []

    def reject(number: int) -> None:
        stores.visits.reject([("no field", str(number))], now)
        outcomes.append("kept")

    threads = [threading.Thread(target=reject, args=(number,)) for number in range(50)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    with stores.database.read() as connection:
        kept = connection.execute(select(func.count()).select_from(rejected_visits)).scalar_one()
    assert (len(outcomes), kept) == (50, 50)
