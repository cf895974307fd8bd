"""The database: one engine, short write transactions, plain errors."""

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from pydantic import SecretStr
from sqlalchemy import Connection, Engine
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, SQLAlchemyError

from storage import schema, server, sqlite_file, transactions
from storage.damaged_file import keep_damaged
from storage.errors import DamagedFileError, StorageError

Explain = Callable[[SQLAlchemyError], tuple[str, bool]]


class _Mine(threading.local):
    """The transaction a thread has open, if any, and whether a part of it failed."""

    connection: Connection | None = None
    spoilt: bool = False


class Database:
    """An open database. ``place`` is its file or address, password hidden, for messages.

    ``explain`` puts a fault of its driver in plain words and says whether to try again.
    """

    def __init__(self, engine: Engine, place: str, explain: Explain) -> None:
        self.engine = engine
        self.place = place
        self._explain = explain
        self._writer = engine.execution_options(**transactions.WRITES)
        self._queue = threading.Lock()
        self._mine = _Mine()

    @contextmanager
    def write(self) -> Iterator[Connection]:
        """A transaction that may change things: committed at the end, rolled back on any error.

        Within such a block another one of the same thread is a part of it: what several stores
        keep is kept together or not at all.

        Raises
        ------
        StorageError
            Nothing was saved; ``busy`` where trying again may help. Where the connection to a
            server was lost during the commit, whether it was saved is not known, and it says so.
        """
        if self._mine.connection is not None:
            with self.plain_errors("nothing was saved"), self._part() as connection:
                yield connection
            return
        # Writers of one process queue here: the database's own waiting is unfair and can starve
        # one of many threads for the whole timeout.
        if not self._queue.acquire(timeout=transactions.BUSY_TIMEOUT_S):
            raise StorageError(
                f"{self.place}: another task has been writing for "
                f"{transactions.BUSY_TIMEOUT_S:g} s; nothing was saved, try again",
                busy=True,
            )
        try:
            with self.plain_errors("nothing was saved"), self._writer.begin() as connection:
                self._mine.connection, self._mine.spoilt = connection, False
                yield connection
                self._refuse_half()
                self._commit(connection)
        finally:
            self._mine.connection = None
            self._queue.release()

    @contextmanager
    def _part(self) -> Iterator[Connection]:
        connection = self._mine.connection
        assert connection is not None
        try:
            yield connection
        except BaseException:
            self._mine.spoilt = True
            raise

    def _refuse_half(self) -> None:
        # A part that failed may have been caught on the way; the whole must not be kept then.
        if self._mine.spoilt:
            raise StorageError(f"{self.place}: a part of it was not saved, so nothing was saved")

    def _commit(self, connection: Connection) -> None:
        transaction = connection.get_transaction()
        assert transaction is not None
        try:
            transaction.commit()
        except DBAPIError as fault:
            if not fault.connection_invalidated:
                # Its transaction may still be open, and nobody else must be lent that.
                connection.invalidate()
                raise
            raise StorageError(
                f"{self.place}: the connection was lost while it was being saved, and whether it "
                "was is not known; look before you enter it again"
            ) from fault

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """A transaction that sees one moment of the database.

        Raises
        ------
        StorageError
            The database cannot be read.
        """
        with self.plain_errors("nothing was read"), self.engine.connect() as connection:
            yield connection

    def close(self) -> None:
        """Give back every connection."""
        self.engine.dispose()

    @contextmanager
    def plain_errors(self, outcome: str) -> Iterator[None]:
        """Errors of the database as one plain line that ends with ``outcome``."""
        try:
            yield
        except SQLAlchemyError as fault:
            cause, busy = self._explain(fault)
            raise StorageError(f"{self.place}: {cause}; {outcome}", busy=busy) from fault


def open_database(
    address_or_path: str | Path, folder: str | Path = ".", password: SecretStr | None = None
) -> Database:
    """The database at a path or address, its schema brought up to date.

    Parameters
    ----------
    address_or_path
        A file of the embedded database, or an SQLAlchemy address. A file that does not exist is
        made, its folders too.
    folder
        Where a relative file is looked for.
    password
        The password of a server's user, which addresses do not hold.

    Raises
    ------
    StorageError
        The database exists but is empty, damaged, of another program or of a newer version, or
        the server cannot be reached. It is left as it was; of a damaged file a copy is kept too.
    """
    place = place_of(address_or_path, folder)
    if isinstance(place, Path):
        return _file_up_to_date(place)
    database = open_server(address_or_path, password)
    try:
        _bring_up_to_date(database)
    except BaseException:
        database.close()
        raise
    return database


def place_of(address_or_path: str | Path, folder: str | Path = ".") -> Path | str:
    """The file of an embedded database, or a server's address with its password hidden."""
    url = _url(address_or_path)
    if url.get_backend_name() == "sqlite":
        return Path(folder, url.database or "")
    return server.place_of(url)


def open_server(address: str | Path, password: SecretStr | None = None) -> Database:
    """The database on a server, its tables left as they are.

    Raises
    ------
    StorageError
        The address or its driver cannot be used.
    """
    url = _url(address)
    return Database(server.engine(url, password), server.place_of(url), server.explain)


def open_file(path: Path) -> Database:
    """The database in a file, its tables left as they are."""
    return Database(sqlite_file.engine(path), str(path), sqlite_file.explain)


def _bring_up_to_date(database: Database) -> None:
    with database.read() as connection:
        found = schema.version(connection)
    schema.refuse_newer(found, database.place)
    if found == schema.NEWEST:
        return
    with database.write() as connection:
        # Again, now that nobody else can be changing it.
        found = schema.version(connection)
        if found is None:
            schema.refuse_strangers(connection, database.place)
        if found != schema.NEWEST:
            schema.upgrade(connection)


def _file_up_to_date(path: Path) -> Database:
    if not path.exists():
        sqlite_file.make(path, _new_file)
    try:
        found = sqlite_file.inspect(path)
    except DamagedFileError as fault:
        raise keep_damaged(path, fault) from fault
    schema.refuse_newer(found, str(path))
    database = open_file(path)
    if found != schema.NEWEST:
        with database.write() as connection:
            # Again, now that nobody else can be changing it.
            if schema.version(connection) != schema.NEWEST:
                copy = path.with_name(f"{path.name}.before-{schema.NEWEST}")
                sqlite_file.back_up(path, copy)
                schema.upgrade(connection)
    # Whatever keeps the file from being used is said now, not in the middle of a morning.
    with database.read():
        pass
    return database


def _new_file(path: Path) -> None:
    database = open_file(path)
    with database.write() as connection:
        schema.upgrade(connection)
    database.close()


def _url(address_or_path: str | Path) -> URL:
    text = str(address_or_path)
    if "://" not in text:
        return URL.create("sqlite", database=text)
    try:
        url = make_url(text)
    except ArgumentError as fault:
        raise StorageError(
            "database address cannot be read; wanted a file, sqlite:///FILE or "
            "postgresql+psycopg://USER@HOST/NAME"
        ) from fault
    if url.get_backend_name() == "sqlite" and url.database in (None, "", ":memory:"):
        raise StorageError(
            f"database address {text}: got a database in memory, wanted a file, because what is "
            "reported must outlive the program; write sqlite:///FILE"
        )
    if url.get_backend_name() == "postgresql":
        return url.set(drivername=server.DRIVER)
    if url.get_backend_name() != "sqlite":
        raise StorageError(
            f"database address: got a {url.get_backend_name()} server, wanted a file, "
            "sqlite:///FILE or postgresql+psycopg://USER@HOST/NAME"
        )
    return url
