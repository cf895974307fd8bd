"""A farm kept by the first version opens, gains what is new, and loses nothing."""

import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from storage import schema
from storage.stores import Stores, open_stores

ADDED = {
    *("harvests", "freezes", "freeze_inspections"),
    *("consents", "delivery_reports", "look_requests"),
    "leases",
}
KEPT = ("visits", "sprays", "rejected_visits")


@pytest.fixture
def first_version(tmp_path: Path, farm_file: Path) -> Callable[[Callable[[Stores], None]], None]:
    """Make the farm's file with the first migration alone, and fill it."""

    def make(fill: Callable[[Stores], None]) -> None:
        folder = tmp_path / "migrations"
        shutil.copytree(schema.MIGRATIONS, folder, ignore=shutil.ignore_patterns("__pycache__"))
        for later in (folder / "versions").glob("0*.py"):
            if not later.name.startswith("0001_"):
                later.unlink()
        with pytest.MonkeyPatch.context() as back_then:
            back_then.setattr(schema, "MIGRATIONS", folder)
            back_then.setattr(schema, "NEWEST", "0001")
            with open_stores(farm_file, ".") as stores:
                fill(stores)

    return make


def _tables(path: Path) -> set[str]:
    with closing(sqlite3.connect(path)) as connection:
        rows = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        return {name for (name,) in rows}


def _rows(path: Path) -> dict[str, list[tuple[object, ...]]]:
    with closing(sqlite3.connect(path)) as connection:
        return {
            name: connection.execute(f"SELECT * FROM {name} ORDER BY id").fetchall()
            for name in KEPT
        }


@pytest.mark.fault("D11")
def test_a_farm_of_the_first_version_is_upgraded_and_loses_nothing(
    first_version, farm_file, a_visit, a_spray, a_harvest, a_freeze, an_inspection, now
):
    visits = [a_visit(field_id=f"f{number}") for number in range(40)]
    sprays = [a_spray(field_id=f"f{number}", note="crown") for number in range(9)]

    def fill(stores: Stores) -> None:
        stores.visits.add(visits, now)
        stores.visits.reject([("no such field", "zz,4,60")], now)
        for spray in sprays:
            stores.sprays.add(spray, now)

    first_version(fill)
    before = _rows(farm_file)
    assert [len(before[name]) for name in KEPT] == [40, 9, 1]
    assert not ADDED & _tables(farm_file)

    harvest, freeze, look = a_harvest(), a_freeze(), an_inspection()
    with open_stores(farm_file, ".") as stores:
        assert stores.visits.all() == tuple(visits)
        assert stores.sprays.all() == tuple(sprays)
        assert stores.visits.rejected()[0].raw == "zz,4,60"
        new = (stores.harvests, stores.freezes, stores.freeze_inspections)
        assert [store.all() for store in new] == [(), (), ()]
        stores.harvests.add(harvest, now)
        stores.freezes.add(freeze, now)
        stores.freeze_inspections.add(look, now)
    assert _rows(farm_file) == before

    with open_stores(farm_file, ".") as stores:
        assert stores.harvests.all() == (harvest,)
        assert stores.freezes.all() == (freeze,)
        assert stores.freeze_inspections.all() == (look,)


def test_the_file_as_the_first_version_left_it_is_kept_beside(
    first_version, farm_file, a_visit, now
):
    first_version(lambda stores: stores.visits.add([a_visit()], now))
    before = _rows(farm_file)

    open_stores(farm_file, ".").close()

    copy = farm_file.with_name("farm.db.before-0004")
    assert _rows(copy) == before
    assert not ADDED & _tables(copy)
    assert _tables(farm_file) >= ADDED
