"""Whether anything was added since somebody last looked, without reading it again."""

from sqlalchemy import Table, func, select

from storage import tables
from storage.database import Database

#: Tables whose rows change what a morning would say; rows are only ever added.
RECORDS = (
    tables.visits,
    tables.sprays,
    tables.harvests,
    tables.freezes,
    tables.freeze_inspections,
    tables.retractions,
)


def newest_rows(database: Database, *of: Table) -> tuple[int, ...]:
    """The number of the newest row of each table, 0 where there is none."""
    newest = [select(func.coalesce(func.max(table.c.id), 0)).scalar_subquery() for table in of]
    with database.read() as connection:
        return tuple(connection.execute(select(*newest)).one())
