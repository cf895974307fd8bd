"""What was taken back."""

from datetime import datetime
from uuid import UUID

from farm.retraction import Retraction
from storage import tables
from storage.database import Database
from storage.record_store import RecordStore


class RetractionStore(RecordStore[Retraction]):
    """Retractions, which are only ever added; a record has one at most."""

    def __init__(self, database: Database) -> None:
        super().__init__(database, tables.retractions, Retraction, "retracted_utc")

    def taken_back(self, now: datetime) -> frozenset[UUID]:
        """The records taken back by a moment; raises StorageError naming a damaged retraction."""
        return frozenset(one.of_uuid for one in self.all() if one.retracted_utc <= now)

    def by_record(self) -> dict[UUID, Retraction]:
        """Every retraction by the record it takes back; StorageError names a damaged one."""
        return {one.of_uuid: one for one in self.all()}
