"""Room on the disk held in reserve, so that what is queued goes out when the disk is full.

A message is only handed over once it is kept that it is: else a process killed in between would
send it again, or never. So sending needs a little room, and this is where it comes from.
"""

import logging
import os
import shutil
from pathlib import Path

#: Room held in reserve [bytes]. Judgement: each message takes two small commits, and the log of
#: the database begins anew at about 4 MB.
SPARE_BYTES = 32_000_000
#: Times that room that must be free before it is taken; judgement.
FREE_TIMES = 10

log = logging.getLogger("warmspell.worker")


class SpareRoom:
    """A file of zeros beside the database; None where that is on a server."""

    def __init__(self, path: Path | None) -> None:
        self._path = path

    def take(self) -> None:
        """Hold the room, where it is not held and there is plenty. Never raises."""
        if self._path is None or self._path.exists():
            return
        try:
            if shutil.disk_usage(self._path.parent).free < FREE_TIMES * SPARE_BYTES:
                return
            # A file with holes would hold nothing in reserve.
            with self._path.open("wb") as file:
                os.posix_fallocate(file.fileno(), 0, SPARE_BYTES)
        except OSError as fault:
            log.info("no room is held in reserve: %s", fault.strerror)
            self.give_up()

    def give_up(self) -> bool:
        """Let go of the room; whether any was held."""
        if self._path is None:
            return False
        try:
            self._path.unlink()
        except OSError:
            return False
        return True


def spare_path(folder: Path, database: str) -> Path | None:
    """Where the file lies: beside a farm's database file."""
    return None if "://" in database else (folder / database).with_suffix(".spare-room")
