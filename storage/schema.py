"""Which version of the tables a database has, and how it gets the newest."""

from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import (
    Column,
    Connection,
    MetaData,
    String,
    Table,
    func,
    inspect,
    select,
    table,
)

from storage.errors import StorageError

if TYPE_CHECKING:
    from alembic.config import Config

#: Name of the newest migration; versions are four digits that only rise.
NEWEST = "0009"

#: Table that marks a database as ours and holds its version. Not the migration tool's usual
#: name, so that a database of another program is never taken for ours.
VERSION_TABLE = "warmspell_schema"

MIGRATIONS = Path(__file__).parent / "migrations"

_version = Table(VERSION_TABLE, MetaData(), Column("version_num", String(32)))


def version(connection: Connection) -> str | None:
    """Version of the tables, or None where there are none of ours."""
    if not inspect(connection).has_table(VERSION_TABLE):
        return None
    return connection.execute(select(_version.c.version_num)).scalar_one_or_none()


def refuse_newer(found: str | None, place: str) -> None:
    """Raise StorageError for a version this program does not know."""
    if found is not None and found > NEWEST:
        raise StorageError(
            f"{place}: made by a newer warmspell: got tables of version {found}, wanted "
            f"{NEWEST} or older; nothing was changed, install the newer warmspell"
        )


def refuse_strangers(connection: Connection, place: str) -> None:
    """Raise StorageError where tables of another program bear the names of ours."""
    from storage.tables import metadata

    theirs = sorted(set(inspect(connection).get_table_names()) & set(metadata.tables))
    if theirs:
        raise StorageError(
            f"{place}: holds a table {theirs[0]} of another program; nothing was changed, "
            "name an empty database"
        )


def upgrade(connection: Connection, to: str = "head") -> None:
    """Run the migrations that are missing up to a version, inside the caller's transaction.

    The caller commits, so that a migration that is cut off leaves the old version whole.

    Raises
    ------
    StorageError
        A table would hold fewer rows than before.
    """
    from alembic import command

    before = row_counts(connection)
    command.upgrade(_config(connection), to)
    after = row_counts(connection)
    for name, rows in before.items():
        if after.get(name, 0) < rows:
            raise StorageError(
                f"table {name}: got {after.get(name, 0)} rows after the change of the tables, "
                f"wanted the {rows} from before; nothing was changed"
            )


def downgrade(connection: Connection, to: str) -> None:
    """Run migrations backwards to a version, inside the caller's transaction.

    Raises
    ------
    StorageError
        That version has no place for records that are kept; they are named, none is dropped.
    """
    from alembic import command

    command.downgrade(_config(connection), to)


def row_counts(connection: Connection) -> dict[str, int]:
    """How many rows each table holds, whatever version it is of."""
    names = set(inspect(connection).get_table_names()) - {VERSION_TABLE}
    return {
        name: connection.execute(select(func.count()).select_from(table(name))).scalar_one()
        for name in sorted(names)
    }


def _config(connection: Connection) -> "Config":
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    config.attributes["version_table"] = VERSION_TABLE
    return config
