"""A farm's own errors of forecast lows: only ever added, the last of each source counts."""

from datetime import datetime

from sqlalchemy import Row, insert, select

from agronomy.own_low_errors import OwnLowErrors
from storage.database import Database
from storage.errors import StorageError
from storage.record_text import noun_from, seal_of, text_of
from storage.tables import own_low_errors


class OwnErrorStore:
    """What verify found and somebody chose to keep, sealed one by one."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def add(self, kept: OwnLowErrors) -> None:
        """Keep errors, or that those of a source are taken back; StorageError if not saved."""
        text = text_of(kept)
        row = {
            "uuid": str(kept.uuid),
            "kept_utc": kept.kept_utc,
            "record": text,
            "record_sha256": seal_of(text),
        }
        with self._database.write() as connection:
            connection.execute(insert(own_low_errors), [row])

    def standing(self, until: datetime) -> tuple[OwnLowErrors, ...]:
        """What was kept last of each source up to a moment, the newest last.

        A damaged row takes those before it out: any of them may be the one it replaced.

        Raises
        ------
        StorageError
            A row is not what was written, and nothing was kept after it.
        """
        last: dict[str, OwnLowErrors] = {}
        broken: StorageError | None = None
        for row in self._rows():
            try:
                kept = self._verified(row)
            except StorageError as fault:
                last, broken = {}, fault
                continue
            if kept.kept_utc <= until:
                last.pop(kept.source, None)
                last[kept.source] = kept
        if broken is not None and not last:
            raise broken
        return tuple(last.values())

    def damaged(self) -> tuple[int, tuple[str, ...]]:
        """How many rows there are, and a line for each that is not what was written."""
        rows, faults = self._rows(), []
        for row in rows:
            try:
                self._verified(row)
            except StorageError as fault:
                faults.append(str(fault))
        return len(rows), tuple(faults)

    def _rows(self) -> list[Row[tuple[object, ...]]]:
        with self._database.read() as connection:
            asked = select(own_low_errors).order_by(own_low_errors.c.id)
            return list(connection.execute(asked).all())

    def _verified(self, row: Row[tuple[object, ...]]) -> OwnLowErrors:
        where = f"{self._database.place}: {own_low_errors.name} row {row.id}"
        kept = noun_from(row.record, OwnLowErrors, where)
        beside = (row.uuid, row.kept_utc)
        if seal_of(row.record) != row.record_sha256 or beside != (str(kept.uuid), kept.kept_utc):
            raise StorageError(
                f"{where}: its content does not match its seal, so it was altered or damaged; "
                "put back a copy of the database, or keep the errors anew with verify --keep"
            )
        return kept
