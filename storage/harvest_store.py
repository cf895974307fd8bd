"""Harvest records."""

from datetime import datetime

from farm.records import Harvest
from storage import tables
from storage.append_only import AppendOnly, DamagedRow
from storage.database import Database


class HarvestStore:
    """Harvests, which are only ever added."""

    def __init__(self, database: Database) -> None:
        self._records = AppendOnly(database, tables.harvests, Harvest, "harvested_utc")

    def add(self, harvest: Harvest, now: datetime) -> bool:
        """Add a harvest; False if it was known already, StorageError if with other content."""
        return self._records.add([harvest], now) == 1

    def all(self) -> tuple[Harvest, ...]:
        """Every harvest in the order it was added; raises StorageError naming a damaged row."""
        return self._records.all()

    def all_readable(self) -> tuple[tuple[Harvest, ...], tuple[DamagedRow, ...]]:
        """Every harvest that is whole, and the rows that are not; see `AppendOnly.all_readable`."""
        return self._records.all_readable()

    def of_field(self, field_id: str) -> tuple[Harvest, ...]:
        """A field's harvests in the order they were made."""
        return self._records.of_field(field_id)
