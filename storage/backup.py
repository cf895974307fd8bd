"""Backups made while others write, and put back only where nothing is lost by it."""

import os
import uuid
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path
from typing import IO

from storage.backup_file import Manifest, write_tables
from storage.database import Database
from storage.errors import StorageError
from storage.snapshot import one_moment


def back_up(database: Database, path: Path, now: datetime) -> Manifest:
    """Write a backup of one moment of the database; it appears under its name when it is whole.

    Raises
    ------
    StorageError
        There is a file of that name already, the database is damaged, or the disk cannot take
        it; nothing is left under that name then.
    """
    if path.exists():
        raise StorageError(f"{path}: there is a file of this name already; name another")
    with (
        _appearing_whole(path) as stream,
        one_moment(database, path.parent) as connection,
        zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive,
    ):
        return write_tables(connection, archive, now)


@contextmanager
def _appearing_whole(path: Path) -> Iterator[IO[bytes]]:
    beside = path.with_name(f".{path.name}.{uuid.uuid4().hex}.new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        # Addresses and messages are in it: for the owner's eyes alone.
        handle = os.open(beside, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w+b") as stream:
            yield stream
            stream.flush()
            os.fsync(stream.fileno())
        if path.exists():
            raise StorageError(f"{path}: there is a file of this name already; name another")
        beside.rename(path)
        _keep_name(path.parent)
    except OSError as fault:
        raise StorageError(f"{path}: cannot be written: {fault.strerror or fault}") from fault
    finally:
        with suppress(OSError):
            beside.unlink()


def _keep_name(folder: Path) -> None:
    # Without this a loss of power could leave the file without its name.
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
