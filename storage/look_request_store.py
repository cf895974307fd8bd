"""Wishes to have a field looked at again."""

from farm.look_request import LookRequest
from storage import tables
from storage.database import Database
from storage.record_store import RecordStore


class LookRequestStore(RecordStore[LookRequest]):
    """Requests, which are only ever added."""

    def __init__(self, database: Database) -> None:
        super().__init__(database, tables.look_requests, LookRequest, "asked_utc")
