"""Harvest records."""

from farm.records import Harvest
from storage import tables
from storage.database import Database
from storage.record_store import RecordStore


class HarvestStore(RecordStore[Harvest]):
    """Harvests, which are only ever added."""

    def __init__(self, database: Database) -> None:
        super().__init__(database, tables.harvests, Harvest, "harvested_utc")
