"""What was taken back."""

from datetime import datetime
from uuid import UUID

from sqlalchemy import Table, select

from farm.retraction import Kind, Retraction
from storage import tables
from storage.database import Database
from storage.record_store import RecordStore

#: Where records of each kind are kept.
KEPT_IN: dict[Kind, Table] = {
    "visit": tables.visits,
    "spray": tables.sprays,
    "harvest": tables.harvests,
    "freeze": tables.freezes,
    "inspection": tables.freeze_inspections,
}


class RetractionStore(RecordStore[Retraction]):
    """Retractions, which are only ever added; a record has one at most."""

    def __init__(self, database: Database) -> None:
        super().__init__(database, tables.retractions, Retraction, "retracted_utc")
        self._database = database

    def taken_back(self, now: datetime) -> frozenset[UUID]:
        """The records taken back by a moment; raises StorageError naming a damaged retraction."""
        return frozenset(one.of_uuid for one in self.all() if one.retracted_utc <= now)

    def by_record(self) -> dict[UUID, Retraction]:
        """Every retraction by the record it takes back; StorageError names a damaged one."""
        return {one.of_uuid: one for one in self.all()}

    def of_nothing(self) -> tuple[str, ...]:
        """A line for each whole retraction of a record that is not kept: a record was lost."""
        whole = self.all_readable()[0]
        # Read after them, since a record always comes before its retraction.
        kept = {kind: self._uuids(kind) for kind in {one.kind for one in whole}}
        return tuple(
            f"{self._database.place}: the {one.kind} {one.of_uuid} of field {one.field_id} was "
            "taken back and is not kept, so it was lost; put back a copy of the database"
            for one in whole
            if str(one.of_uuid) not in kept[one.kind]
        )

    def _uuids(self, kind: Kind) -> set[str]:
        with self._database.read() as connection:
            return set(connection.execute(select(KEPT_IN[kind].c.uuid)).scalars())
