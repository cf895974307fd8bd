"""Application records."""

from farm.records import Spray
from storage import tables
from storage.database import Database
from storage.record_store import RecordStore


class SprayStore(RecordStore[Spray]):
    """Sprays, which are only ever added."""

    def __init__(self, database: Database) -> None:
        super().__init__(database, tables.sprays, Spray, "sprayed_utc")

    def latest_by_field(self) -> dict[str, Spray]:
        """The last spray of each field; of two at the same time the one added later."""
        return self._records.latest_by_field()
