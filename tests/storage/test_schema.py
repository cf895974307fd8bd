"""What the migrations make is what the tables say."""

import re

from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import create_engine

from storage import schema
from storage.tables import metadata


def _statements(connection) -> dict[str, list[str]]:
    rows = connection.exec_driver_sql("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL")
    # The order in which constraints are written says nothing.
    return {
        name: sorted(line.strip(" \t,") for line in sql.splitlines())
        for name, sql in rows
        if name != schema.VERSION_TABLE
    }


def test_migrations_from_nothing_make_the_tables_as_they_are_declared(stores):
    declared = create_engine("sqlite://")
    metadata.create_all(declared)

    with stores.database.read() as migrated, declared.connect() as other:
        context = MigrationContext.configure(
            migrated, opts={"version_table": schema.VERSION_TABLE, "compare_type": True}
        )
        assert compare_metadata(context, metadata) == []
        assert _statements(migrated) == _statements(other)
    declared.dispose()


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
