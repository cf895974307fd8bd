"""A backup put back: into an empty place, or beside what was there, which is kept."""

import os
import uuid
import zipfile
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from itertools import islice
from pathlib import Path

from pydantic import SecretStr
from sqlalchemy import Connection, insert, update

from storage import schema
from storage.backup_file import (
    ROWS_AT_ONCE,
    Manifest,
    TableEntry,
    lines_of,
    opened,
    rows_of,
)
from storage.backup_values import light_table
from storage.database import open_file, open_server, place_of
from storage.errors import StorageError
from storage.restore_on_server import count_on, make_room
from storage.tables import deliveries

#: What becomes of a message that waited when a backup was made.
HELD = "put back from a backup; it may have been sent since, so it is not sent again"


@dataclass(frozen=True)
class Restored:
    """What was put back where, and where what stood there before is kept now, "" for nothing.

    ``held`` messages waited when the backup was made and are not sent any more.
    """

    manifest: Manifest
    place: str
    kept_as: str = ""
    held: int = 0


def restore(
    backup: Path,
    address: str | Path,
    folder: Path,
    now: datetime,
    *,
    replace: bool = False,
    hold: bool = True,
    password: SecretStr | None = None,
) -> Restored:
    """Put a backup where an address says, compare every row, and bring it up to date.

    Parameters
    ----------
    backup
        The file that `storage.backup.back_up` wrote, from any kind of database.
    address, folder, password
        Where to, as `storage.database.open_database` takes them.
    now
        The moment, for the name of what is kept.
    replace
        Whether something may stand there already; it is kept under another name.
    hold
        Whether messages that waited to be sent are held back: they may have been sent since.

    Raises
    ------
    StorageError
        Nothing was put back, and what stood there still stands.
    """
    place = place_of(address, folder)
    with opened(backup) as (archive, manifest):
        if isinstance(place, Path):
            return _into_file(archive, manifest, place, now, replace=replace, hold=hold)
        kept_as = f"warmspell_before_{now:%Y%m%dt%H%M%S}"
        with (
            closing(open_server(address, password)) as database,
            database.write() as connection,
        ):
            moved = make_room(connection, database.place, kept_as, replace=replace)
            held = fill(connection, archive, manifest, hold=hold)
        return Restored(manifest, database.place, f"schema {kept_as}" if moved else "", held)


def _into_file(
    archive: zipfile.ZipFile,
    manifest: Manifest,
    place: Path,
    now: datetime,
    *,
    replace: bool,
    hold: bool,
) -> Restored:
    if not replace:
        _refuse_standing(place)
    beside = place.with_name(f".{place.name}.{uuid.uuid4().hex}.new")
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        with closing(open_file(beside)) as made, made.write() as connection:
            held = fill(connection, archive, manifest, hold=hold)
        kept_as = _set_aside(place, f"{place.name}.before-{now:%Y%m%dT%H%M%SZ}")
        _refuse_standing(place)
        beside.rename(place)
    except OSError as fault:
        raise StorageError(f"{place}: cannot be made: {fault.strerror or fault}") from fault
    finally:
        for one in _files(beside):
            one.unlink(missing_ok=True)
    return Restored(manifest, str(place), kept_as, held)


def _files(place: Path) -> tuple[Path, ...]:
    # The log first: left beside a new file, it would be read as a part of that one.
    return tuple(place.with_name(place.name + ending) for ending in ("-wal", "-shm", ""))


def _refuse_standing(place: Path) -> None:
    for one in _files(place):
        if one.exists():
            raise StorageError(
                f"{one}: there is a file already, wanted an empty place; nothing was changed, "
                "name another database in the config, or say --replace to keep this one beside"
            )


def _set_aside(place: Path, name: str) -> str:
    kept = place.with_name(name)
    if any(one.exists() for one in _files(kept)):
        kept = place.with_name(f"{name}-{uuid.uuid4().hex[:8]}")
    moved = False
    for old, new in zip(_files(place), _files(kept), strict=True):
        if old.exists():
            os.rename(old, new)
            moved = True
    return str(kept) if moved else ""


def fill(
    connection: Connection, archive: zipfile.ZipFile, manifest: Manifest, *, hold: bool
) -> int:
    """Make the tables as they were, put every row in, compare, and bring them up to date.

    Says how many waiting messages were held back.
    """
    schema.upgrade(connection, manifest.schema_version)
    for name, entry in manifest.tables.items():
        table = light_table(name, entry.columns)
        rows = rows_of(archive, name, entry)
        while some := list(islice(rows, ROWS_AT_ONCE)):
            connection.execute(insert(table), some)
        _compare(connection, name, entry)
        count_on(connection, name, entry)
    schema.upgrade(connection)
    return _held_back(connection) if hold else 0


def _held_back(connection: Connection) -> int:
    waiting = update(deliveries).where(deliveries.c.state.in_(("pending", "sending")))
    told = {"state": "suppressed", "next_try_utc": None, "error": HELD}
    return connection.execute(waiting.values(told)).rowcount


def _compare(connection: Connection, name: str, entry: TableEntry) -> None:
    digest = sha256()
    for line in lines_of(connection, name, entry):
        digest.update(line)
    if digest.hexdigest() != entry.sha256:
        raise StorageError(
            f"table {name}: got other rows than the backup holds after putting them in; "
            "nothing was kept"
        )
