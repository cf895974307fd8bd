"""Everything particular to the embedded database file."""

import os
import sqlite3
import uuid
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from urllib.parse import quote

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.exc import SQLAlchemyError, StatementError

from storage import transactions
from storage.errors import DamagedFileError, StorageError
from storage.schema import VERSION_TABLE

_FIRST_BYTES = b"SQLite format 3\x00"

_CAUSES = {
    sqlite3.SQLITE_BUSY: "another program has been writing for {wait:g} s, try again",
    sqlite3.SQLITE_FULL: "the disk is full; make room",
    sqlite3.SQLITE_IOERR: "the disk did not do what was asked; check it, its room and its quota",
    sqlite3.SQLITE_READONLY: "the file may not be written; check its owner and permissions",
    sqlite3.SQLITE_CANTOPEN: "the file cannot be opened; check its folder, owner and permissions",
    sqlite3.SQLITE_CORRUPT: "the file is damaged; put back a copy of it",
    sqlite3.SQLITE_NOTADB: "the file is not a database; put back a copy of it",
}


def engine(path: Path) -> Engine:
    """An engine whose every connection survives power loss and waits for other writers."""
    made = create_engine(
        URL.create("sqlite", database=str(path)),
        hide_parameters=True,
        pool_size=8,
        max_overflow=24,
    )
    event.listen(made, "connect", _prepare)
    event.listen(made, "begin", _begin)
    return made


def _prepare(connection: sqlite3.Connection, _record: object) -> None:
    # The driver must not begin transactions of its own; _begin does.
    connection.isolation_level = None
    connection.execute(f"PRAGMA busy_timeout = {transactions.BUSY_TIMEOUT_S * 1000:.0f}")
    (mode,) = connection.execute("PRAGMA journal_mode = WAL").fetchone()
    if mode != "wal":
        raise StorageError(
            f"database file: its file system offers journal mode {mode}, wanted wal; "
            "keep the file on a local disk"
        )
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA foreign_keys = ON")


def _begin(connection: Connection) -> None:
    # A transaction that reads first and writes later is refused at once when another writer was
    # quicker, whatever the timeout; taking the write lock at the start waits instead.
    writes = connection.get_execution_options().get("warmspell_writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def explain(fault: SQLAlchemyError) -> tuple[str, bool]:
    """Cause in plain words, and whether trying again may help."""
    origin = fault.orig if isinstance(fault, StatementError) else None
    code = getattr(origin, "sqlite_errorcode", None)
    # The low byte is the cause, the rest its variety.
    primary = code & 0xFF if isinstance(code, int) else None
    if primary in _CAUSES:
        words = _CAUSES[primary].format(wait=transactions.BUSY_TIMEOUT_S)
        return words, primary == sqlite3.SQLITE_BUSY
    return str(origin or fault).splitlines()[0], False


def inspect(path: Path) -> str:
    """Version of the tables in an existing file, which is read and left as it is.

    Raises
    ------
    StorageError
        The file is empty, damaged (`DamagedFileError`), or not ours.
    """
    _refuse_strange_bytes(path)
    with _plain(path), closing(_read_only(path)) as connection:
        (verdict,) = connection.execute("PRAGMA quick_check(1)").fetchone()
        if verdict != "ok":
            raise DamagedFileError(
                f"{path}: the file is damaged ({verdict}); put back a copy of it"
            )
        ours = connection.execute(
            "SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name = ?",
            (VERSION_TABLE,),
        ).fetchone()[0]
        row = (
            connection.execute(f"SELECT version_num FROM {VERSION_TABLE}").fetchone()
            if ours
            else None
        )
    if row is None:
        raise StorageError(
            f"{path}: a database, but not one of warmspell; nothing was changed, "
            "name another file or move this one away"
        )
    return str(row[0])


def _refuse_strange_bytes(path: Path) -> None:
    try:
        with path.open("rb") as stream:
            first = stream.read(len(_FIRST_BYTES))
    except OSError as fault:
        raise StorageError(f"{path}: the file cannot be read: {fault.strerror}") from fault
    if first == _FIRST_BYTES:
        return
    got = "an empty file" if not first else "a file that is not a database"
    raise StorageError(
        f"{path}: got {got}, wanted the farm's database; nothing was changed, "
        "put back a copy, or move it away to start with an empty farm"
    )


def make(path: Path, fill: Callable[[Path], None]) -> None:
    """A new database, filled beside its place and put there whole.

    Cut off half way, nothing stands under its name; when two programs make it at once, one wins.
    """
    beside = path.with_name(f".{path.name}.{uuid.uuid4().hex}.new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        fill(beside)
        _put(beside, path)
    except OSError as fault:
        raise StorageError(f"{path}: the file cannot be made: {fault.strerror}") from fault
    finally:
        beside.unlink(missing_ok=True)


def _put(beside: Path, path: Path) -> None:
    try:
        os.link(beside, path)
    except FileExistsError:
        return
    except OSError:
        # A file system without links; renaming could replace, so look first.
        if not path.exists():
            beside.rename(path)


def back_up(path: Path, copy: Path) -> None:
    """A copy that holds what is still in the write-ahead log too."""
    with (
        _plain(path),
        closing(_read_only(path)) as source,
        closing(sqlite3.connect(copy)) as target,
    ):
        source.backup(target)


def _read_only(path: Path) -> sqlite3.Connection:
    address = f"file:{quote(str(path.absolute()))}?mode=ro"
    return sqlite3.connect(address, uri=True, timeout=transactions.BUSY_TIMEOUT_S)


@contextmanager
def _plain(path: Path) -> Iterator[None]:
    try:
        yield
    except sqlite3.Error as fault:
        code = getattr(fault, "sqlite_errorcode", 0) & 0xFF
        cause = _CAUSES.get(code, str(fault)).format(wait=transactions.BUSY_TIMEOUT_S)
        if code == sqlite3.SQLITE_CORRUPT:
            raise DamagedFileError(f"{path}: {cause}") from fault
        raise StorageError(f"{path}: {cause}", busy=code == sqlite3.SQLITE_BUSY) from fault
