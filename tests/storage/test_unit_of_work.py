"""What several stores keep in one block is kept together or not at all."""

import threading

import pytest
from sqlalchemy import event
from sqlalchemy.engine.default import DefaultDialect

from storage.errors import StorageError


def test_several_stores_write_in_one_transaction(stores, a_visit, a_spray, now):
    commits = []
    event.listen(stores.database.engine, "commit", commits.append)
    with stores.database.write():
        stores.visits.add([a_visit()], now)
        stores.sprays.add(a_spray(), now)
        assert stores.visits.all() == ()
    assert len(commits) == 1
    assert (len(stores.visits.all()), len(stores.sprays.all())) == (1, 1)


def test_an_error_after_some_of_them_keeps_none(stores, a_visit, now):
    def half_a_morning() -> None:
        with stores.database.write():
            stores.visits.add([a_visit()], now)
            raise RuntimeError("killed here")

    with pytest.raises(RuntimeError):
        half_a_morning()
    assert stores.visits.all() == ()
    assert stores.visits.add([a_visit()], now) == 1


def test_a_part_that_failed_takes_the_whole_with_it_though_it_was_caught(
    stores, a_visit, a_spray, now
):
    spray = a_spray()
    stores.sprays.add(spray, now)

    def careless() -> None:
        with stores.database.write():
            stores.visits.add([a_visit()], now)
            with pytest.raises(StorageError, match="other content"):
                stores.sprays.add(spray.model_copy(update={"note": "changed"}), now)
            # Caught above; this one fails within its own block.
            with pytest.raises(ZeroDivisionError), stores.database.write():
                raise ZeroDivisionError

    with pytest.raises(StorageError, match="nothing was saved"):
        careless()
    assert stores.visits.all() == ()


def test_another_thread_is_no_part_of_it(stores, a_visit, now):
    stores.database._queue = threading.RLock()
    seen = []

    def other() -> None:
        seen.append(stores.database._mine.connection)

    with stores.database.write():
        thread = threading.Thread(target=other)
        thread.start()
        thread.join()
    assert seen == [None]


def test_after_a_commit_that_failed_everything_goes_on(stores, a_visit, now, monkeypatch):
    """The connection whose transaction is still open is not lent again."""
    true = DefaultDialect.do_commit
    failed = []

    def failing(dialect, connection):
        if not failed:
            failed.append(connection)
            raise dialect.loaded_dbapi.OperationalError("disk I/O error")
        true(dialect, connection)

    monkeypatch.setattr(DefaultDialect, "do_commit", failing)
    with pytest.raises(StorageError, match="nothing was saved"):
        stores.visits.add([a_visit()], now)

    assert stores.visits.all() == ()
    assert stores.visits.add([a_visit()], now) == 1
    assert len(stores.visits.all()) == 1
