"""One moment of a database that others may be writing to meanwhile."""

import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sqlalchemy import Connection

from storage import sqlite_file
from storage.database import Database
from storage.errors import StorageError


@contextmanager
def one_moment(database: Database, folder: Path) -> Iterator[Connection]:
    """A connection that sees one moment of the database, whole and checked.

    Of the embedded database a copy is made in ``folder``, by its own way to copy a file that is
    written to, and looked through; on a server one transaction sees one moment.

    Raises
    ------
    StorageError
        The database is damaged or cannot be read.
    """
    if database.engine.dialect.name != "sqlite":
        apart = database.engine.execution_options(isolation_level="REPEATABLE READ")
        with database.plain_errors("nothing was read"), apart.connect() as connection:
            yield connection
        return
    path = Path(str(database.engine.url.database))
    with tempfile.TemporaryDirectory(prefix=".warmspell-", dir=folder) as beside:
        copy = Path(beside, "copy")
        sqlite_file.back_up(path, copy)
        refuse_damaged(copy, str(path))
        engine = sqlite_file.engine(copy)
        try:
            with database.plain_errors("nothing was read"), engine.connect() as connection:
                yield connection
        finally:
            engine.dispose()


def refuse_damaged(path: Path, place: str) -> None:
    """Look through every page and index of a file; StorageError with the first that is wrong."""
    try:
        with closing(sqlite3.connect(path)) as connection:
            found = [row[0] for row in connection.execute("PRAGMA integrity_check(3)")]
    except sqlite3.Error as fault:
        raise StorageError(f"{place}: the file is damaged ({fault})") from fault
    if found != ["ok"]:
        raise StorageError(f"{place}: the file is damaged ({found[0]}); put back a backup of it")
