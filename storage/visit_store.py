"""Scouting visits."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy import insert, select

from farm.records import Visit
from storage import tables
from storage.append_only import AppendOnly, DamagedRow
from storage.database import Database
from storage.record_text import plain_text


@dataclass(frozen=True)
class RejectedRow:
    """A row of a scouting file that was not taken, as it came, and why."""

    reason: str
    raw: str
    rejected_utc: datetime


class VisitStore:
    """Visits, which are only ever added, and rows that could not become visits."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self._records = AppendOnly(database, tables.visits, Visit, "observed_utc")

    def add(self, visits: Sequence[Visit], now: datetime) -> int:
        """Add all visits or none, and say how many were new; see `AppendOnly.add`."""
        return self._records.add(visits, now)

    def all(self) -> tuple[Visit, ...]:
        """Every visit in the order it was added; raises StorageError naming a damaged row."""
        return self._records.all()

    def all_readable(self) -> tuple[tuple[Visit, ...], tuple[DamagedRow, ...]]:
        """Every visit that is whole, and the rows that are not; see `AppendOnly.all_readable`."""
        return self._records.all_readable()

    def of_field(self, field_id: str, without: Collection[UUID] = ()) -> tuple[Visit, ...]:
        """A field's visits in the order they were made, but for those taken back."""
        return self._records.of_field(field_id, without)

    def latest_by_field(self, without: Collection[UUID] = ()) -> dict[str, Visit]:
        """The last visit to each field, but for those taken back; see `AppendOnly`."""
        return self._records.latest_by_field(without)

    def reject(self, rows: Sequence[tuple[str, str]], now: datetime) -> None:
        """Keep rows that were not taken, each as (reason, row as it came, but for NUL)."""
        if not rows:
            return
        kept = [
            {"reason": plain_text(reason), "raw": plain_text(raw), "rejected_utc": now}
            for reason, raw in rows
        ]
        with self._database.write() as connection:
            connection.execute(insert(tables.rejected_visits), kept)

    def rejected(self) -> tuple[RejectedRow, ...]:
        """Every row that was not taken, in the order they came."""
        columns = tables.rejected_visits.c
        asked = select(columns.reason, columns.raw, columns.rejected_utc).order_by(columns.id)
        with self._database.read() as connection:
            rows = connection.execute(asked).all()
        return tuple(RejectedRow(row.reason, row.raw, row.rejected_utc) for row in rows)
