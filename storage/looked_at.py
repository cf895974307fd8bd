"""A database looked at as it is: nothing is made, brought up to date, or changed."""

import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from pydantic import SecretStr
from sqlalchemy import func, select

from storage import schema, sqlite_file, tables
from storage.database import Database, open_file, open_server, place_of
from storage.errors import StorageError
from storage.snapshot import refuse_damaged

#: Tables whose rows say when they were added, and the column that does.
_ADDED = (
    *((table, "added_utc") for table in (tables.visits, tables.sprays, tables.harvests)),
    *((table, "added_utc") for table in (tables.freezes, tables.freeze_inspections)),
    (tables.retractions, "added_utc"),
    (tables.forecasts, "fetched_utc"),
    (tables.runs, "started_utc"),
)

_NONE_YET = (
    "there is no database yet; the first morning or record makes it. If there was one, put back "
    "a backup before anything else runs"
)


class NoDatabaseYetError(StorageError):
    """There is none: a farm that is new, or one that lost it."""


@dataclass(frozen=True)
class Newest:
    """When the newest of each kind was kept, None where there is none."""

    record_utc: datetime | None
    forecast_utc: datetime | None
    morning_sent_on: date | None


def opened_as_it_is(
    address: str | Path, folder: Path, password: SecretStr | None = None
) -> Database:
    """The database at an address, which must be there and of this version.

    Raises
    ------
    StorageError
        There is none (`NoDatabaseYetError`), it is damaged, or of another version.
    """
    place = place_of(address, folder)
    if isinstance(place, Path):
        if not place.exists():
            raise NoDatabaseYetError(f"{place}: {_NONE_YET}")
        found: str | None = sqlite_file.inspect(place)
        database = open_file(place)
    else:
        database = open_server(address, password)
        with database.read() as connection:
            found = schema.version(connection)
        if found is None:
            database.close()
            raise NoDatabaseYetError(f"{place}: {_NONE_YET}")
    if found != schema.NEWEST:
        database.close()
        schema.refuse_newer(found, str(place))
        raise StorageError(
            f"{place}: tables of version {found}, wanted {schema.NEWEST}; any other "
            "command brings them up to date"
        )
    return database


class OpenedOnce:
    """A database opened when it is first asked for, and shared; a failure is shared too."""

    def __init__(self, opening: Callable[[], Database]) -> None:
        self._opening = opening
        self._lock = threading.Lock()
        self._database: Database | None = None
        self._fault: StorageError | None = None

    def __call__(self) -> Database:
        """The database; raises StorageError each time where it cannot be opened."""
        with self._lock:
            if self._fault is not None:
                raise self._fault
            if self._database is None:
                try:
                    self._database = self._opening()
                except StorageError as fault:
                    self._fault = fault
                    raise
            return self._database

    def close(self) -> None:
        """Close it, where it was opened; one that still hangs in its opening is not waited for."""
        if not self._lock.acquire(blocking=False):
            return
        try:
            if self._database is not None:
                self._database.close()
        finally:
            self._lock.release()


def refuse_unsound(database: Database) -> str:
    """Look through a whole file and say that it is sound; StorageError where it is not."""
    if database.engine.dialect.name != "sqlite":
        with database.read() as connection:
            connection.execute(select(func.count()).select_from(tables.visits))
        return f"{database.place}: the server answers, tables of version {schema.NEWEST}"
    refuse_damaged(Path(str(database.engine.url.database)), database.place)
    return f"{database.place}: every page and index in order"


def newest_moments(database: Database) -> Newest:
    """The newest record, forecast and morning; StorageError where they cannot be read."""
    sent = select(func.max(tables.runs.c.local_date)).where(
        tables.runs.c.kind == "morning", tables.runs.c.outcome == "sent"
    )
    with database.read() as connection:
        added = [
            connection.execute(select(func.max(table.c[column]))).scalar_one()
            for table, column in _ADDED
        ]
        issued = connection.execute(select(func.max(tables.forecasts.c.issued_utc))).scalar_one()
        morning = connection.execute(sent).scalar_one()
    return Newest(max((one for one in added if one is not None), default=None), issued, morning)
