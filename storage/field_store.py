"""Fields seen in any morning."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import bindparam, insert, select, update

from farm.field import Field
from storage.database import Database
from storage.record_text import noun_from, text_of
from storage.tables import fields as table


class FieldStore:
    """Fields with when they were first and last seen; none is ever deleted."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def remember(self, fields: Sequence[Field], now: datetime) -> None:
        """Keep the newest record of each field, and that it was seen now."""
        rows = {
            field.id: {"field": field.id, "now": now, "newest": text_of(field)} for field in fields
        }
        with self._database.write() as connection:
            known = set(connection.execute(select(table.c.id)).scalars())
            seen = [row for key, row in rows.items() if key in known]
            new = [row for key, row in rows.items() if key not in known]
            values: dict[str, Any] = {
                "last_seen_utc": bindparam("now"),
                "record": bindparam("newest"),
            }
            if seen:
                again = update(table).where(table.c.id == bindparam("field")).values(values)
                connection.execute(again, seen)
            if new:
                first: dict[str, Any] = {
                    "id": bindparam("field"),
                    "first_seen_utc": bindparam("now"),
                }
                connection.execute(insert(table).values(first | values), new)

    def known(self) -> tuple[Field, ...]:
        """The newest record of every field ever seen, by id."""
        with self._database.read() as connection:
            rows = connection.execute(select(table.c.id, table.c.record).order_by(table.c.id)).all()
        where = self._database.place
        return tuple(noun_from(row.record, Field, f"{where}: field {row.id}") for row in rows)
