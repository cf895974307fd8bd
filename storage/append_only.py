"""Records people acknowledge: added once, never changed, sealed one by one."""

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Generic, TypeVar
from uuid import UUID

from sqlalchemy import Connection, Row, Table, insert, select

from farm.look_request import LookRequest
from farm.records import Freeze, FreezeInspection, Harvest, Spray, Visit
from farm.retraction import Retraction
from storage.database import Database
from storage.errors import StorageError
from storage.in_chunks import in_chunks
from storage.record_text import noun_from, seal_of, text_of

Record = TypeVar(
    "Record",
    bound=Visit | Spray | Harvest | Freeze | FreezeInspection | LookRequest | Retraction,
)


@dataclass(frozen=True)
class DamagedRow:
    """A row that is not what was written. ``told`` names it and says what is wrong.

    ``field_ids`` are the fields it may have spoken of, ``moment`` when it may have happened, as
    far as that can still be read.
    """

    table: str
    row: int
    told: str
    field_ids: frozenset[str]
    moment: datetime


class AppendOnly(Generic[Record]):
    """The records of one table, whose column ``moment`` says when each happened."""

    def __init__(self, database: Database, table: Table, model: type[Record], moment: str) -> None:
        self._database = database
        self._table = table
        self._model = model
        self._moment = moment

    def add(self, records: Sequence[Record], now: datetime) -> int:
        """Add all records or none, and say how many were new.

        A record sent again with the same uuid and content is accepted and not counted.

        Raises
        ------
        StorageError
            A uuid is known with other content.
        """
        offered: dict[str, tuple[Record, str]] = {}
        for record in records:
            text = text_of(record)
            _, first = offered.setdefault(str(record.uuid), (record, text))
            self._refuse_other(record, text, first)
        with self._database.write() as connection:
            known = self._known_texts(connection, list(offered))
            for uuid, kept in known.items():
                self._refuse_other(*offered[uuid], kept)
            new = [
                self._row(record, text, now)
                for uuid, (record, text) in offered.items()
                if uuid not in known
            ]
            if new:
                connection.execute(insert(self._table), new)
        return len(new)

    def all(self) -> tuple[Record, ...]:
        """Every record in the order it was added.

        Raises
        ------
        StorageError
            A row is not what was written; it is named.
        """
        with self._database.read() as connection:
            rows = connection.execute(select(self._table).order_by(self._table.c.id)).all()
        return tuple(self._verified(row) for row in rows)

    def all_readable(self) -> tuple[tuple[Record, ...], tuple[DamagedRow, ...]]:
        """Every record that is as it was written, in the order added, and the rows that are not.

        For who can do without some, and says so; everybody else reads `all`.
        """
        with self._database.read() as connection:
            rows = connection.execute(select(self._table).order_by(self._table.c.id)).all()
        whole: list[Record] = []
        damaged: list[DamagedRow] = []
        for row in rows:
            try:
                whole.append(self._verified(row))
            except StorageError as fault:
                damaged.append(self._damaged(row, str(fault)))
        return tuple(whole), tuple(damaged)

    def of_field(self, field_id: str, without: Collection[UUID] = ()) -> tuple[Record, ...]:
        """A field's records in the order they happened, but for those taken back."""
        # Every row is read and verified on purpose: a row whose field was altered would
        # otherwise be missing without a word.
        own = [one for one in self._standing(without) if one.field_id == field_id]
        return tuple(sorted(own, key=self._happened))

    def latest_by_field(self, without: Collection[UUID] = ()) -> dict[str, Record]:
        """The record that happened last in each field; of two at once the one added later.

        Those taken back, ``without``, are left out.
        """
        in_order = sorted(self._standing(without), key=self._happened)
        return {record.field_id: record for record in in_order}

    def _standing(self, without: Collection[UUID]) -> list[Record]:
        return [record for record in self.all() if record.uuid not in without]

    def _happened(self, record: Record) -> datetime:
        moment: datetime = getattr(record, self._moment)
        return moment

    def _known_texts(self, connection: Connection, uuids: list[str]) -> dict[str, str]:
        columns = self._table.c
        known: dict[str, str] = {}
        for some in in_chunks(uuids):
            asked = select(columns.uuid, columns.record).where(columns.uuid.in_(some))
            known.update((row.uuid, row.record) for row in connection.execute(asked))
        return known

    def _refuse_other(self, record: Record, text: str, kept: str) -> None:
        if text != kept:
            name = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", self._model.__name__).lower()
            raise StorageError(
                f"{name} {record.uuid} of field {record.field_id}: got other content than the "
                f"{name} kept under this uuid; nothing was saved, send a change as a new {name} "
                "with its own uuid"
            )

    def _row(self, record: Record, text: str, now: datetime) -> dict[str, object]:
        return {
            "uuid": str(record.uuid),
            "field_id": record.field_id,
            self._moment: self._happened(record),
            "record": text,
            "record_sha256": seal_of(text),
            "added_utc": now,
        }

    def _verified(self, row: Row[tuple[object, ...]]) -> Record:
        where = f"{self._database.place}: {self._table.name} row {row.id} ({row.uuid})"
        if seal_of(row.record) != row.record_sha256:
            raise StorageError(
                f"{where}: its content does not match its seal, so it was altered or damaged; "
                "put back a copy of the database"
            )
        record = noun_from(row.record, self._model, where)
        beside = (row.uuid, row.field_id, getattr(row, self._moment))
        if beside != (str(record.uuid), record.field_id, self._happened(record)):
            raise StorageError(
                f"{where}: its columns do not match its content, so it was altered or damaged; "
                "put back a copy of the database"
            )
        return record

    def _damaged(self, row: Row[tuple[object, ...]], told: str) -> DamagedRow:
        fields, moment = {str(row.field_id)}, getattr(row, self._moment)
        # One fault at a time: where the content fits its seal, a column beside it was altered.
        if seal_of(row.record) == row.record_sha256:
            try:
                record = noun_from(row.record, self._model, told)
            except StorageError:
                pass
            else:
                fields.add(record.field_id)
                moment = self._happened(record)
        return DamagedRow(self._table.name, row.id, told, frozenset(fields), moment)
