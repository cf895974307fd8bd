"""Freezes, and the looks at what froze."""

from collections.abc import Sequence
from datetime import datetime

from farm.records import Freeze, FreezeInspection
from storage import tables
from storage.database import Database
from storage.record_store import RecordStore


class FreezeStore(RecordStore[Freeze]):
    """Freezes, which are only ever added."""

    def __init__(self, database: Database) -> None:
        super().__init__(database, tables.freezes, Freeze, "froze_utc")

    def add_all(self, freezes: Sequence[Freeze], now: datetime) -> int:
        """Add all freezes or none, and say how many were new; see `AppendOnly.add`."""
        return self._records.add(freezes, now)


class FreezeInspectionStore(RecordStore[FreezeInspection]):
    """Looks at frozen fields, which are only ever added."""

    def __init__(self, database: Database) -> None:
        super().__init__(database, tables.freeze_inspections, FreezeInspection, "inspected_utc")
