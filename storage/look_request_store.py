"""Wishes to have a field looked at again."""

from datetime import datetime

from farm.look_request import LookRequest
from storage import tables
from storage.append_only import AppendOnly
from storage.database import Database


class LookRequestStore:
    """Requests, which are only ever added."""

    def __init__(self, database: Database) -> None:
        self._records = AppendOnly(database, tables.look_requests, LookRequest, "asked_utc")

    def add(self, request: LookRequest, now: datetime) -> bool:
        """Add a request; False if it was known already, StorageError if with other content."""
        return self._records.add([request], now) == 1

    def all(self) -> tuple[LookRequest, ...]:
        """Every request in the order it was added; raises StorageError naming a damaged row."""
        return self._records.all()

    def of_field(self, field_id: str) -> tuple[LookRequest, ...]:
        """A field's requests in the order they were made."""
        return self._records.of_field(field_id)
