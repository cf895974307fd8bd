"""Plans of rigs as they were handed out, and what was reported while they were driven."""

from collections.abc import Callable
from datetime import datetime
from typing import Any
from uuid import uuid4

from sqlalchemy import Row, Table, func, insert, select

from dispatch.routes.plan import RoutePlan
from farm.route_note import RouteNote
from storage.database import Database
from storage.errors import StorageError
from storage.record_text import noun_from, seal_of, text_of
from storage.tables import route_notes, route_plans


class RoutePlanStore:
    """Every plan that was handed out, with its revision; none is ever changed."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def keep(self, plan: RoutePlan, now: datetime) -> RoutePlan:
        """Keep a plan under a uuid and the next revision, and give it back with both.

        Raises
        ------
        StorageError
            Nothing was saved.
        """
        with self._database.write() as connection:
            last = connection.execute(select(func.max(route_plans.c.revision))).scalar_one()
            told = {"uuid": uuid4(), "revision": (last or 0) + 1}
            kept = plan.model_copy(update=told)
            text = text_of(kept)
            row = {
                "uuid": str(kept.uuid),
                "revision": kept.revision,
                "made_utc": kept.made_utc or now,
                "record": text,
                "record_sha256": seal_of(text),
                "added_utc": now,
            }
            connection.execute(insert(route_plans), [row])
        return kept

    def latest(self) -> RoutePlan | None:
        """The plan with the highest revision, or None where none was kept.

        Raises
        ------
        StorageError
            It is not what was written.
        """
        asked = select(route_plans).order_by(route_plans.c.revision.desc()).limit(1)
        with self._database.read() as connection:
            row = connection.execute(asked).first()
        return None if row is None else self._verified(row)

    def next_revision(self) -> int:
        """The revision that the next plan kept will have."""
        with self._database.read() as connection:
            last = connection.execute(select(func.max(route_plans.c.revision))).scalar_one()
        return int(last or 0) + 1

    def damaged(self) -> tuple[int, tuple[str, ...]]:
        """How many plans are kept, and a line for each that is not what was written."""
        return _damaged(_rows(self._database, route_plans), self._verified)

    def _verified(self, row: Row[Any]) -> RoutePlan:
        where = _sealed(self._database, route_plans, row)
        plan = noun_from(row.record, RoutePlan, where)
        if (row.uuid, row.revision) != (str(plan.uuid), plan.revision):
            raise StorageError(f"{where}: {_ALTERED}")
        return plan


class RouteNoteStore:
    """Reports about fields and rigs of a plan, which are only ever added."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def add(self, note: RouteNote, now: datetime) -> None:
        """Keep a report; StorageError if it was not saved."""
        text = text_of(note)
        row = {
            "uuid": str(note.uuid),
            "noted_utc": note.noted_utc,
            "record": text,
            "record_sha256": seal_of(text),
            "added_utc": now,
        }
        with self._database.write() as connection:
            connection.execute(insert(route_notes), [row])

    def all(self) -> tuple[RouteNote, ...]:
        """Every report in the order it was added; raises StorageError naming a damaged row."""
        return tuple(self._verified(row) for row in _rows(self._database, route_notes))

    def damaged(self) -> tuple[int, tuple[str, ...]]:
        """How many reports are kept, and a line for each that is not what was written."""
        return _damaged(_rows(self._database, route_notes), self._verified)

    def _verified(self, row: Row[Any]) -> RouteNote:
        where = _sealed(self._database, route_notes, row)
        note = noun_from(row.record, RouteNote, where)
        if (row.uuid, row.noted_utc) != (str(note.uuid), note.noted_utc):
            raise StorageError(f"{where}: {_ALTERED}")
        return note


_ALTERED = (
    "its content does not match its seal, so it was altered or damaged; put back a copy of the "
    "database"
)


def _sealed(database: Database, table: Table, row: Row[Any]) -> str:
    """The name of a row; StorageError where its content does not match its seal."""
    where = f"{database.place}: {table.name} row {row.id}"
    if seal_of(row.record) != row.record_sha256:
        raise StorageError(f"{where}: {_ALTERED}")
    return where


def _rows(database: Database, table: Table) -> list[Row[Any]]:
    with database.read() as connection:
        return list(connection.execute(select(table).order_by(table.c.id)).all())


def _damaged(
    rows: list[Row[Any]], verified: Callable[[Row[Any]], object]
) -> tuple[int, tuple[str, ...]]:
    faults = []
    for row in rows:
        try:
            verified(row)
        except StorageError as fault:
            faults.append(str(fault))
    return len(rows), tuple(faults)
