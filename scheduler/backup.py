"""A farm's database kept in a file, tried out, and put back."""

import tempfile
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from storage.backup import back_up
from storage.backup_file import Manifest
from storage.errors import StorageError
from storage.restore import Restored, restore
from storage.seals import SealedTable, look_at_seals
from storage.stores import open_stores

if TYPE_CHECKING:
    from scheduler.opening import OpenFarm

#: How a backup is called among the runs.
KIND = "backup"


@dataclass(frozen=True)
class Kept:
    """A backup that was made. ``seals`` are those of the farm itself, when it was made."""

    path: Path
    manifest: Manifest
    seals: tuple[SealedTable, ...]

    @property
    def damaged(self) -> tuple[str, ...]:
        """Lines that name rows which are not what was written."""
        return tuple(line for table in self.seals for line in table.damaged)


def keep_backup(farm: "OpenFarm", where: Path) -> Kept:
    """Write a backup to a file, or under a name made of the moment into a folder.

    Raises
    ------
    StorageError
        None was made.
    """
    now = farm.now
    path = where / f"warmspell-{now:%Y%m%dT%H%M%SZ}.zip" if where.is_dir() else where
    manifest = back_up(farm.stores.database, path, now)
    return Kept(path, manifest, look_at_seals(farm.stores.database))


def drill(path: Path, now: datetime) -> tuple[SealedTable, ...]:
    """Put a backup back into a folder that is gone afterwards, and look at every sealed row.

    Putting back already compares the rows of every table with those the backup was made of.

    Raises
    ------
    StorageError
        It could not be put back, or holds other counts than it says.
    """
    with tempfile.TemporaryDirectory(prefix="warmspell-drill-") as folder:
        told = restore(path, "drill.sqlite3", Path(folder), now, hold=False)
        with open_stores("drill.sqlite3", folder) as stores:
            seals = look_at_seals(stores.database)
    for table in seals:
        entry = told.manifest.tables.get(table.name)
        if table.rows != (entry.rows if entry else 0):
            raise StorageError(
                f"{path}: table {table.name}: got {table.rows} rows after putting it back, "
                f"wanted {entry.rows if entry else 0}; make another backup"
            )
    return seals


def note(farm: "OpenFarm", exit_code: int) -> None:
    """Keep in the farm that a backup was made, so that its age can be told."""
    farm.stores.runs.keep(
        KIND, farm.today, exit_code, "kept" if exit_code == 0 else "damaged", farm.now
    )


def kept_lines(kept: Kept) -> list[str]:
    """What was kept, for people: one line for each table that holds something."""
    tables = kept.manifest.tables
    lines = [f"{kept.path}: {kept.manifest.rows:,} rows, {kept.path.stat().st_size:,} bytes"]
    lines += [f"  {name}: {entry.rows:,}" for name, entry in sorted(tables.items()) if entry.rows]
    return lines


def drill_lines(seals: tuple[SealedTable, ...], manifest: Manifest) -> list[str]:
    """What the drill found: counts of what is only ever added to, and seals."""
    lines = ["drill: put back into an empty place, every row compared"]
    for table in seals:
        whole = table.rows - len(table.damaged)
        lines.append(f"  {table.name}: {table.rows:,} rows, {whole:,} seals whole")
    others = ("rejected_visits", "plans", "delivery_reports")
    lines += [
        f"  {one}: {manifest.tables[one].rows:,} rows" for one in others if one in manifest.tables
    ]
    return lines


def restored_lines(told: Restored) -> list[str]:
    """What was put back, and what an operator must know about the time since."""
    made = f"{told.manifest.made_utc:%Y-%m-%d %H:%M} UTC"
    lines = [f"{told.place}: {told.manifest.rows:,} rows put back, every one compared"]
    if told.kept_as:
        lines.append(f"what stood there is kept as {told.kept_as}")
    lines.append(
        f"the backup was made {made}: visits, sprays, harvests and stops since then are not in it; "
        "enter them again before digests go out"
    )
    if told.held:
        lines.append(
            f"{told.held} messages that waited then are held back: they may have been sent"
        )
    return lines
