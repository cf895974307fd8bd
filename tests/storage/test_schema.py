"""What the migrations make is what the tables say."""

import re

from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import create_engine

from storage import schema
from storage.stores import open_stores
from storage.tables import metadata
from tests.storage.real_server import plain_engine


def _statements(connection) -> dict[str, list[str]]:
    rows = connection.exec_driver_sql("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL")
    # The order in which constraints are written says nothing.
    return {
        name: sorted(line.strip(" \t,") for line in sql.splitlines())
        for name, sql in rows
        if name != schema.VERSION_TABLE
    }


def _rules(connection) -> list[tuple[str, ...]]:
    """Every rule and index of a server's tables, as the server itself would write them."""
    rows = connection.exec_driver_sql(
        "SELECT conrelid::regclass::text, conname, pg_get_constraintdef(oid) FROM pg_constraint "
        "WHERE connamespace = 'public'::regnamespace "
        "UNION ALL SELECT tablename, indexname, indexdef FROM pg_indexes "
        "WHERE schemaname = 'public'"
    )
    return sorted(tuple(row) for row in rows if row[0] != schema.VERSION_TABLE)


def _differences(connection) -> list[object]:
    context = MigrationContext.configure(
        connection, opts={"version_table": schema.VERSION_TABLE, "compare_type": True}
    )
    return compare_metadata(context, metadata)


def test_migrations_from_nothing_make_the_tables_as_they_are_declared(farm_file):
    declared = create_engine("sqlite://")
    metadata.create_all(declared)

    with (
        open_stores(farm_file, ".") as stores,
        stores.database.read() as migrated,
        declared.connect() as other,
    ):
        assert _differences(migrated) == []
        assert _statements(migrated) == _statements(other)
    declared.dispose()


def test_migrations_make_the_same_tables_on_a_server(server):
    declared = plain_engine(server.new_database())
    metadata.create_all(declared)

    with (
        open_stores(server.new_database(), ".") as stores,
        stores.database.read() as migrated,
        declared.connect() as other,
    ):
        assert _differences(migrated) == []
        rules = _rules(migrated)
        assert rules == _rules(other)
        assert len(rules) > 3 * len(metadata.tables)


def test_the_newest_version_is_the_last_migration_and_versions_only_rise():
    config = Config()
    config.set_main_option("script_location", str(schema.MIGRATIONS))
    config.set_main_option("path_separator", "os")
    scripts = ScriptDirectory.from_config(config)
    versions = [script.revision for script in scripts.walk_revisions()]

    assert scripts.get_heads() == [schema.NEWEST]
    assert versions == sorted(versions, reverse=True)
    assert all(re.fullmatch(r"\d{4}", version) for version in versions)


def test_every_constraint_has_a_name():
    unnamed = [
        (table.name, type(constraint).__name__)
        for table in metadata.tables.values()
        for constraint in table.constraints
        if constraint.name is None
    ]

    assert unnamed == []
