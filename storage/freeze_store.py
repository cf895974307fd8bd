"""Freezes, and the looks at what froze."""

from collections.abc import Sequence
from datetime import datetime

from farm.records import Freeze, FreezeInspection
from storage import tables
from storage.append_only import AppendOnly, DamagedRow
from storage.database import Database


class FreezeStore:
    """Freezes, which are only ever added."""

    def __init__(self, database: Database) -> None:
        self._records = AppendOnly(database, tables.freezes, Freeze, "froze_utc")

    def add(self, freeze: Freeze, now: datetime) -> bool:
        """Add a freeze; False if it was known already, StorageError if with other content."""
        return self._records.add([freeze], now) == 1

    def add_all(self, freezes: Sequence[Freeze], now: datetime) -> int:
        """Add all freezes or none, and say how many were new; see `AppendOnly.add`."""
        return self._records.add(freezes, now)

    def all(self) -> tuple[Freeze, ...]:
        """Every freeze in the order it was added; raises StorageError naming a damaged row."""
        return self._records.all()

    def all_readable(self) -> tuple[tuple[Freeze, ...], tuple[DamagedRow, ...]]:
        """Every freeze that is whole, and the rows that are not; see `AppendOnly.all_readable`."""
        return self._records.all_readable()

    def of_field(self, field_id: str) -> tuple[Freeze, ...]:
        """A field's freezes in the order they came."""
        return self._records.of_field(field_id)


class FreezeInspectionStore:
    """Looks at frozen fields, which are only ever added."""

    def __init__(self, database: Database) -> None:
        self._records = AppendOnly(
            database, tables.freeze_inspections, FreezeInspection, "inspected_utc"
        )

    def add(self, inspection: FreezeInspection, now: datetime) -> bool:
        """Add a look; False if it was known already, StorageError if with other content."""
        return self._records.add([inspection], now) == 1

    def all(self) -> tuple[FreezeInspection, ...]:
        """Every look in the order it was added; raises StorageError naming a damaged row."""
        return self._records.all()

    def all_readable(self) -> tuple[tuple[FreezeInspection, ...], tuple[DamagedRow, ...]]:
        """Every look that is whole, and the rows that are not; see `AppendOnly.all_readable`."""
        return self._records.all_readable()

    def of_field(self, field_id: str) -> tuple[FreezeInspection, ...]:
        """The looks at a field in the order they were made."""
        return self._records.of_field(field_id)
