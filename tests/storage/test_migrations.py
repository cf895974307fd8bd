"""Farms of any older version open and lose nothing; the way back loses nothing either."""

import shutil
import signal
import subprocess
import sys

import pytest
from sqlalchemy import inspect, text

from storage import schema
from storage.database import open_database
from storage.errors import StorageError
from storage.stores import open_stores
from tests.storage.real_server import plain_engine

OLDER = ("0001", "0002", "0003", "0004", "0005", "0006", "0007", "0008")
#: Tables by the version that made them.
MADE_BY = {
    "0002": {"harvests", "freezes", "freeze_inspections"},
    "0003": {"consents", "delivery_reports", "look_requests"},
    "0004": {"leases"},
    "0005": {"retractions"},
    "0006": {"own_low_errors"},
    "0007": {"route_plans", "route_notes"},
    "0008": {"board_accounts", "board_sessions", "board_feeds"},
    "0009": {"verifications"},
}
KEPT = ("visits", "sprays", "rejected_visits")


ADD_COLOUR = """
import sqlalchemy as sa
from alembic import op
revision, down_revision = "0900", "{last}"
how = "always" if op.get_context().dialect.name == "sqlite" else "never"
def upgrade():
    with op.batch_alter_table("visits", recreate=how) as visits:
        visits.add_column(sa.Column("colour", sa.Text))
    {after}
def downgrade():
    with op.batch_alter_table("visits", recreate=how) as visits:
        visits.drop_column("colour")
"""
LAST = schema.NEWEST


@pytest.fixture
def next_version(tmp_path, monkeypatch):
    """Install a version that is still to come, which does ``after`` at its end."""

    def install(after: str = "") -> None:
        folder = tmp_path / "migrations"
        shutil.copytree(schema.MIGRATIONS, folder, ignore=shutil.ignore_patterns("__pycache__"))
        change = ADD_COLOUR.format(after=after, last=LAST)
        (folder / "versions" / "0900_colour.py").write_text(change)
        monkeypatch.setattr(schema, "MIGRATIONS", folder)
        monkeypatch.setattr(schema, "NEWEST", "0900")

    return install


@pytest.fixture
def farm_of(new_address, a_visit, a_spray, now):
    """Make a farm of an older version at ``new_address`` with records in it, and say which."""

    def make(version):
        with pytest.MonkeyPatch.context() as back_then:
            upgrade = schema.upgrade
            back_then.setattr(schema, "NEWEST", version)
            back_then.setattr(schema, "upgrade", lambda connection: upgrade(connection, version))
            visits = [a_visit(field_id=f"f{number}", note="a\n☔") for number in range(40)]
            sprays = [a_spray(field_id=f"f{number}", note="crown") for number in range(9)]
            with open_stores(new_address, ".") as stores:
                stores.visits.add(visits, now)
                stores.visits.reject([("no such field", "zz,4,60")], now)
                for spray in sprays:
                    stores.sprays.add(spray, now)
        return tuple(visits), tuple(sprays)

    return make


def _asked(address, statement):
    with plain_engine(address).connect() as connection:
        return [tuple(row) for row in connection.execute(text(statement))]


def _tables(address) -> set[str]:
    with plain_engine(address).connect() as connection:
        return set(inspect(connection).get_table_names())


def _rows(address) -> dict[str, list[tuple[object, ...]]]:
    return {name: _asked(address, f"SELECT * FROM {name} ORDER BY id") for name in KEPT}


def _version(address) -> str:
    ((found,),) = _asked(address, f"SELECT version_num FROM {schema.VERSION_TABLE}")
    return found


def _newer_than(version) -> set[str]:
    return set().union(*(names for made, names in MADE_BY.items() if made > version))


@pytest.mark.fault("D11")
@pytest.mark.parametrize("version", OLDER)
def test_a_farm_of_an_older_version_opens_and_loses_nothing(
    farm_of, new_address, version, a_harvest, now
):
    visits, sprays = farm_of(version)
    before = _rows(new_address)
    assert [len(before[name]) for name in KEPT] == [40, 9, 1]
    assert not _newer_than(version) & _tables(new_address)

    harvest = a_harvest()
    with open_stores(new_address, ".") as stores:
        assert (stores.visits.all(), stores.sprays.all()) == (visits, sprays)
        assert stores.visits.rejected()[0].raw == "zz,4,60"
        stores.harvests.add(harvest, now)
    assert _rows(new_address) == before
    assert _tables(new_address) >= _newer_than(version)
    with open_stores(new_address, ".") as stores:
        assert stores.harvests.all() == (harvest,)


@pytest.mark.parametrize("version", OLDER)
def test_the_way_back_keeps_every_record_the_older_version_has_a_place_for(
    farm_of, new_address, version
):
    visits, _ = farm_of("0001")
    with open_stores(new_address, ".") as stores:
        before = _rows(new_address)
        with stores.database.write() as connection:
            schema.downgrade(connection, version)
    assert (_version(new_address), _rows(new_address)) == (version, before)
    assert not _newer_than(version) & _tables(new_address)

    with open_stores(new_address, ".") as again:
        assert again.visits.all() == visits
    assert (_version(new_address), _rows(new_address)) == (schema.NEWEST, before)


@pytest.mark.parametrize(
    ("to", "table"),
    [
        ("0001", "harvests"),
        ("0001", "freezes"),
        ("0001", "freeze_inspections"),
        ("0002", "look_requests"),
        ("0002", "delivery_reports"),
        ("0001", "consents"),
        ("0004", "retractions"),
        ("0005", "own_low_errors"),
        ("0006", "route_plans"),
        ("0006", "route_notes"),
        ("base", "visits"),
        ("base", "rejected_visits"),
    ],
)
def test_the_way_back_names_what_it_has_no_place_for_and_changes_nothing(
    stores, farm_address, behind, a_harvest, now, to, table
):
    columns = inspect(stores.database.engine).get_columns(table)
    values = {column["name"]: _invented(column) for column in columns if column["name"] != "id"}
    behind(f"INSERT INTO {table} ({', '.join(values)}) VALUES ({', '.join(values.values())})")
    before = _tables(farm_address), _asked(farm_address, f"SELECT * FROM {table}")

    def go_back() -> None:
        with stores.database.write() as connection:
            schema.downgrade(connection, to)

    with pytest.raises(StorageError, match=rf"no place for what is kept in {table} \(1\)"):
        go_back()
    assert _version(farm_address) == schema.NEWEST
    assert (_tables(farm_address), _asked(farm_address, f"SELECT * FROM {table}")) == before


def _invented(column) -> str:
    if column["name"] == "revision":
        return "1"
    return f"'{'2026-10-06 10:30:00' if column['name'].endswith('_utc') else 'x'}'"


def test_the_way_back_to_nothing_leaves_a_new_place(new_address, a_visit, now):
    with open_stores(new_address, ".") as stores, stores.database.write() as connection:
        schema.downgrade(connection, "base")
    assert _tables(new_address) <= {schema.VERSION_TABLE}


@pytest.mark.fault("D13")
@pytest.mark.parametrize("table", ["harvests", "leases"])
def test_a_program_killed_while_it_changes_tables_leaves_the_old_version_whole(
    farm_of, new_address, table
):
    visits, _ = farm_of("0001")
    before = _rows(new_address)
    killed = subprocess.run(
        [sys.executable, "-c", KILLED, new_address, table], capture_output=True, timeout=60
    )
    assert killed.returncode == -signal.SIGKILL, killed.stderr
    assert (_version(new_address), _rows(new_address)) == ("0001", before)
    assert not _newer_than("0001") & _tables(new_address)

    with open_stores(new_address, ".") as stores:
        assert stores.visits.all() == visits
    assert _version(new_address) == schema.NEWEST


KILLED = """
import os, signal, sys
from alembic import op
from storage.database import open_database

make = op.create_table

def make_and_die(name, *columns, **told):
    make(name, *columns, **told)
    if name == sys.argv[2]:
        os.kill(os.getpid(), signal.SIGKILL)

op.create_table = make_and_die
open_database(sys.argv[1])
"""


def test_the_file_as_the_older_version_left_it_is_kept_beside(farm_of, new_address, farm_file):
    farm_of("0001")
    before = _rows(new_address)

    open_stores(new_address, ".").close()

    copy = f"sqlite:///{farm_file}.before-{schema.NEWEST}"
    assert (_version(copy), _rows(copy)) == ("0001", before)
    assert not _newer_than("0001") & _tables(copy)


@pytest.mark.fault("D11")
def test_a_change_that_would_drop_records_is_refused_and_undone(
    farm_address, behind, next_version, a_visit, now
):
    with open_stores(farm_address, ".") as stores:
        stores.visits.add([a_visit(), a_visit()], now)
    next_version(after="op.execute('DELETE FROM visits WHERE id = 1')")

    with pytest.raises(StorageError, match="table visits: got 1 rows after the change"):
        open_database(farm_address)
    assert _asked(farm_address, "SELECT id FROM visits ORDER BY id") == [(1,), (2,)]
    assert "colour" not in {one["name"] for one in _columns(farm_address, "visits")}


def test_a_change_that_fails_half_way_leaves_the_old_version_whole(
    farm_address, next_version, monkeypatch, a_visit, now
):
    visit = a_visit()
    with open_stores(farm_address, ".") as stores:
        stores.visits.add([visit], now)
    next_version(after="op.execute('INSERT INTO no_such_table VALUES (1)')")
    with pytest.raises(StorageError, match="no_such_table"):
        open_stores(farm_address, ".")
    monkeypatch.undo()

    with open_stores(farm_address, ".") as stores:
        assert stores.visits.all() == (visit,)


def test_a_column_added_to_a_table_with_records_keeps_them(
    farm_address, next_version, a_visit, now
):
    visit = a_visit()
    with open_stores(farm_address, ".") as stores:
        stores.visits.add([visit], now)
    next_version()

    with open_stores(farm_address, ".") as stores:
        assert stores.visits.all() == (visit,)
        with stores.database.read() as connection:
            assert schema.version(connection) == "0900"
        with stores.database.write() as connection:
            schema.downgrade(connection, LAST)
    assert len(_asked(farm_address, "SELECT id FROM visits")) == 1


def _columns(address, table):
    with plain_engine(address).connect() as connection:
        return inspect(connection).get_columns(table)
