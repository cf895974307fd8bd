"""When records were entered, which is not when what they tell of happened."""

from datetime import datetime
from uuid import UUID

from sqlalchemy import select

from farm.retraction import Kind
from storage.database import Database
from storage.retraction_store import KEPT_IN


def entered_when(database: Database) -> dict[tuple[Kind, UUID], datetime]:
    """The moment each record of people was added, by its kind and uuid."""
    told: dict[tuple[Kind, UUID], datetime] = {}
    with database.read() as connection:
        for kind, table in KEPT_IN.items():
            rows = connection.execute(select(table.c.uuid, table.c.added_utc))
            told |= {(kind, UUID(row.uuid)): row.added_utc for row in rows}
    return told
