"""Which version of the tables a database has, and how it gets the newest."""

from pathlib import Path

from sqlalchemy import Column, Connection, MetaData, String, Table, inspect, select

from storage.errors import StorageError

#: Name of the newest migration; versions are four digits that only rise.
NEWEST = "0004"

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


def upgrade(connection: Connection) -> None:
    """Run the migrations that are missing, inside the caller's transaction.

    The caller commits, so that a migration that is cut off leaves the old version whole.
    """
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    config.attributes["version_table"] = VERSION_TABLE
    command.upgrade(config, "head")
