"""What a server needs before and after rows are put in."""

from sqlalchemy import Connection, func, select, text

from storage import schema
from storage.backup_file import TableEntry
from storage.backup_values import light_table
from storage.errors import StorageError
from storage.tables import metadata


def make_room(connection: Connection, place: str, kept_as: str, *, replace: bool) -> bool:
    """Move tables that hold something into a schema of their own; whether there were any.

    Raises
    ------
    StorageError
        There are some, and they may not be replaced.
    """
    if schema.version(connection) is None:
        return False
    names = [table.name for table in metadata.sorted_tables if _there(connection, table.name)]
    rows = sum(
        connection.execute(select(func.count()).select_from(text(name))).scalar_one()
        for name in names
    )
    if rows and not replace:
        raise StorageError(
            f"{place}: there are {rows} rows already, wanted an empty place; nothing was "
            "changed, name another database in the config, or say --replace to keep them beside"
        )
    if rows:
        connection.execute(text(f"CREATE SCHEMA {kept_as}"))
    for name in (*names, schema.VERSION_TABLE):
        # Names of ours alone, never typed by anybody.
        away = f"ALTER TABLE {name} SET SCHEMA {kept_as}" if rows else f"DROP TABLE {name}"
        connection.execute(text(away))
    return bool(rows)


def _there(connection: Connection, name: str) -> bool:
    return (
        connection.execute(text("SELECT to_regclass(:name)"), {"name": name}).scalar() is not None
    )


def count_on(connection: Connection, name: str, entry: TableEntry) -> None:
    """Let a server number new rows from where the rows put in end."""
    if connection.dialect.name != "postgresql" or entry.key != ("id",):
        return
    if entry.columns["id"] != "whole":
        return
    table = light_table(name, entry.columns)
    last = connection.execute(select(func.max(table.c.id))).scalar()
    if last is not None:
        counter = func.pg_get_serial_sequence(name, "id")
        connection.execute(select(func.setval(counter, last)))
