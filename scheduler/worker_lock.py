"""One worker for one farm: a lock of the operating system, gone when its process is gone."""

import fcntl
import os
import socket
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path


class AnotherWorkerError(Exception):
    """Somebody else is at work for this farm."""


def lock_path(folder: Path, database: str) -> Path:
    """Where the lock of a farm's worker lies: beside its database, else beside its config."""
    if "://" in database:
        return folder / "warmspell.worker-lock"
    return (folder / database).with_suffix(".worker-lock")


def sending_lock_path(folder: Path, database: str) -> Path:
    """Where the lock lies that is held while a morning is made and sent."""
    return lock_path(folder, database).with_suffix(".sending-lock")


@contextmanager
def only_worker(path: Path) -> Iterator[str]:
    """Hold the lock at ``path`` for as long as the block runs, and name the lock.

    Whoever holds a lock of the same name before or after did so alone.

    Raises
    ------
    AnotherWorkerError
        Somebody else holds it.
    """
    handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            holder = os.read(handle, 20).decode("ascii", "replace").strip() or "not known"
            raise AnotherWorkerError(
                f"{path}: another worker runs for this farm (process {holder}); "
                "stop that one first, or leave it to do the work"
            ) from None
        # On a full disk there is no room for it, and the lock holds all the same.
        with suppress(OSError):
            os.ftruncate(handle, 0)
            os.write(handle, f"{os.getpid()}\n".encode())
        kept = os.fstat(handle)
        yield f"{socket.gethostname()}:{kept.st_dev}:{kept.st_ino}"
    finally:
        # Closing gives the lock back; the file stays, since removing it could free a lock that
        # another process has just taken on it.
        os.close(handle)
