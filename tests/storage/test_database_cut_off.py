"""Programs that die while a farm's file is made or brought up to date, and strange file systems."""

import os
import shutil
import signal
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import Engine, event

from storage import schema, sqlite_file
from storage.errors import StorageError
from storage.stores import Stores, open_stores

#: Every statement in turn where WARMSPELL_LONG=1 asks for it, else every fourth.
STEP = 1 if os.environ.get("WARMSPELL_LONG") == "1" else 4


@pytest.fixture
def first_version(tmp_path, a_visit, now) -> Path:
    """The file of a farm with tables of the first version and twenty visits."""
    folder = tmp_path / "migrations"
    shutil.copytree(schema.MIGRATIONS, folder, ignore=shutil.ignore_patterns("__pycache__"))
    for later in (folder / "versions").glob("0*.py"):
        if not later.name.startswith("0001_"):
            later.unlink()
    path = tmp_path / "old.db"
    with pytest.MonkeyPatch.context() as back_then:
        back_then.setattr(schema, "MIGRATIONS", folder)
        back_then.setattr(schema, "NEWEST", "0001")
        with open_stores(path, ".") as stores:
            stores.visits.add([a_visit() for _ in range(20)], now)
    return path


def _killed_at(number: int, work: Callable[[], None]) -> bool:
    """Do the work in a process that is killed at its n-th statement; False where it got done."""
    child = os.fork()
    if child == 0:
        told = 0

        def count(*_: object) -> None:
            nonlocal told
            told += 1
            if told == number:
                os.kill(os.getpid(), signal.SIGKILL)

        event.listen(Engine, "before_cursor_execute", count)
        event.listen(Engine, "commit", count)
        try:
            work()
        finally:
            os._exit(0)
    _, status = os.waitpid(child, 0)
    return os.WIFSIGNALED(status)


def _version(path: Path) -> str:
    with closing(sqlite3.connect(path)) as connection:
        return str(connection.execute("SELECT version_num FROM warmspell_schema").fetchone()[0])


def _visits(stores: Stores) -> int:
    return len(stores.visits.all())


@pytest.mark.fault("D13")
def test_killed_at_any_statement_of_a_migration_it_is_the_old_or_the_new(first_version, tmp_path):
    survived, versions = 0, set()
    for number in range(1, 500, STEP):
        path = tmp_path / f"{number}.db"
        shutil.copy(first_version, path)
        killed = _killed_at(number, lambda path=path: open_stores(path, ".").close())
        versions.add(_version(path))
        with closing(sqlite3.connect(path)) as connection:
            assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        with open_stores(path, ".") as stores:
            assert _visits(stores) == 20
        assert _version(path) == schema.NEWEST
        if not killed:
            break
        survived += 1
    # More than twenty statements; the last run was not killed.
    assert survived > 20 / STEP
    assert not killed
    assert versions == {"0001", schema.NEWEST}


@pytest.mark.fault("D13")
def test_killed_at_any_statement_while_it_is_made_nothing_or_all_is_there(tmp_path):
    for number in range(1, 500, STEP):
        path = tmp_path / str(number) / "farm.db"
        if not _killed_at(number, lambda path=path: open_stores(path, ".").close()):
            break
        if path.exists():
            assert _version(path) == schema.NEWEST
        with open_stores(path, ".") as stores:
            assert _visits(stores) == 0
    assert number > 20


@pytest.mark.fault("D17")
def test_a_file_system_without_shared_memory_is_refused_with_what_to_do(farm_file):
    # This way of opening files is SQLite's own for file systems that cannot lock or share.
    address = f"file:{farm_file}?vfs=unix-none"
    with (
        closing(sqlite3.connect(address, uri=True)) as connection,
        pytest.raises(StorageError, match="keep the file on a local disk"),
    ):
        sqlite_file._prepare(connection, None)
