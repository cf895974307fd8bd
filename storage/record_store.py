"""Records of one kind, kept one at a time."""

from collections.abc import Collection
from datetime import datetime
from typing import Generic
from uuid import UUID

from sqlalchemy import Table

from storage.append_only import AppendOnly, DamagedRow, Record
from storage.database import Database


class RecordStore(Generic[Record]):
    """The records of one table, which are only ever added."""

    def __init__(self, database: Database, table: Table, model: type[Record], moment: str) -> None:
        self._records = AppendOnly(database, table, model, moment)

    def add(self, record: Record, now: datetime) -> bool:
        """Add a record; False if it was known already, StorageError if with other content."""
        return self._records.add([record], now) == 1

    def all(self) -> tuple[Record, ...]:
        """Every record in the order it was added; raises StorageError naming a damaged row."""
        return self._records.all()

    def all_readable(self) -> tuple[tuple[Record, ...], tuple[DamagedRow, ...]]:
        """Every record that is whole, and the rows that are not; see `AppendOnly.all_readable`."""
        return self._records.all_readable()

    def of_field(self, field_id: str, without: Collection[UUID] = ()) -> tuple[Record, ...]:
        """A field's records in the order they happened, but for those taken back."""
        return self._records.of_field(field_id, without)
