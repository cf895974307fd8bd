"""Application records."""

from datetime import datetime

from farm.records import Spray
from storage import tables
from storage.append_only import AppendOnly, DamagedRow
from storage.database import Database


class SprayStore:
    """Sprays, which are only ever added."""

    def __init__(self, database: Database) -> None:
        self._records = AppendOnly(database, tables.sprays, Spray, "sprayed_utc")

    def add(self, spray: Spray, now: datetime) -> bool:
        """Add a spray; False if it was known already, StorageError if known with other content."""
        return self._records.add([spray], now) == 1

    def all(self) -> tuple[Spray, ...]:
        """Every spray in the order it was added; raises StorageError naming a damaged row."""
        return self._records.all()

    def all_readable(self) -> tuple[tuple[Spray, ...], tuple[DamagedRow, ...]]:
        """Every spray that is whole, and the rows that are not; see `AppendOnly.all_readable`."""
        return self._records.all_readable()

    def of_field(self, field_id: str) -> tuple[Spray, ...]:
        """A field's sprays in the order they were made."""
        return self._records.of_field(field_id)

    def latest_by_field(self) -> dict[str, Spray]:
        """The last spray of each field; of two at the same time the one added later."""
        return self._records.latest_by_field()
