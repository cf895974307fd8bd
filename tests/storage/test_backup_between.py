"""A farm moved from one kind of database to another and back, by its backup alone."""

import json
import zipfile
from datetime import date

import pytest
from sqlalchemy import event, select, text

from storage.backup import back_up
from storage.errors import StorageError
from storage.restore import restore
from storage.stores import Stores, open_stores
from storage.tables import metadata
from tests.storage.real_server import plain_engine

#: Ids that a language would put in another order than their bytes do.
IDS = ("b", "A", "a", "é", "B-1", "b 1", "_")


def _rows(stores: Stores) -> dict[str, list[tuple[object, ...]]]:
    with stores.database.read() as connection:
        return {
            table.name: sorted((tuple(row) for row in connection.execute(select(table))), key=repr)
            for table in metadata.sorted_tables
        }


@pytest.fixture
def filled(stores, a_field, a_visit, a_forecast, a_message, now) -> Stores:
    stores.fields.remember([a_field(id=one) for one in IDS], now)
    stores.visits.add([a_visit(field_id=one, note="café ☔") for one in IDS], now)
    stores.visits.reject([("no field", "x;1\n")], now)
    stores.forecasts.keep_many([a_forecast(), a_forecast("nws:XYZ/1,2", None)])
    stores.deliveries.plan([a_message()], now)
    stores.runs.keep("backup", date(2026, 10, 6), 0, "kept", now)
    return stores


def test_a_farm_moves_to_a_server_and_to_a_file(filled, server, tmp_path, a_visit, now):
    manifest = back_up(filled.database, tmp_path / "farm.zip", now)
    for number, address in enumerate((server.new_database(), "moved.db")):
        restore(tmp_path / "farm.zip", address, tmp_path, now, hold=False)
        with open_stores(address, tmp_path) as moved:
            assert _rows(moved) == _rows(filled)
            again = back_up(moved.database, tmp_path / f"{number}.zip", now)
            assert again.tables == manifest.tables
            # New rows are numbered on from those put back.
            assert moved.visits.add([a_visit()], now) == 1
            assert len(moved.visits.all()) == len(IDS) + 1


def test_a_server_that_holds_rows_keeps_them_beside(filled, server, tmp_path, a_visit, now):
    back_up(filled.database, tmp_path / "farm.zip", now)
    address = server.new_database()
    with open_stores(address, tmp_path) as old:
        # Tables without rows are an empty place.
        pass
    restore(tmp_path / "farm.zip", address, tmp_path, now)
    with open_stores(address, tmp_path) as old:
        old.visits.add([a_visit()], now)
        before = _rows(old)

    with pytest.raises(StorageError, match="wanted an empty place"):
        restore(tmp_path / "farm.zip", address, tmp_path, now)
    with open_stores(address, tmp_path) as old:
        assert _rows(old) == before

    told = restore(tmp_path / "farm.zip", address, tmp_path, now, replace=True)
    assert told.kept_as == "schema warmspell_before_20261006t103000"
    engine = plain_engine(address)
    with engine.connect() as connection:
        asked = "SELECT count(*) FROM warmspell_before_20261006t103000.visits"
        assert connection.execute(text(asked)).scalar_one() == len(IDS) + 1
    engine.dispose()
    with open_stores(address, tmp_path) as new:
        assert len(new.visits.all()) == len(IDS)
        assert new.visits.add([a_visit()], now) == 1


def test_a_damaged_backup_leaves_a_server_as_it_was(filled, server, tmp_path, now):
    back_up(filled.database, tmp_path / "farm.zip", now)
    whole = (tmp_path / "farm.zip").read_bytes()
    address = server.new_database()
    restore(tmp_path / "farm.zip", address, tmp_path, now)
    with open_stores(address, tmp_path) as old:
        before = _rows(old)
    spoilt = bytearray(whole)
    spoilt[len(whole) // 2] ^= 0x20
    (tmp_path / "farm.zip").write_bytes(spoilt)
    with pytest.raises(StorageError):
        restore(tmp_path / "farm.zip", address, tmp_path, now, replace=True)
    with open_stores(address, tmp_path) as old:
        assert _rows(old) == before


def test_rows_stand_in_the_order_of_bytes_whatever_language_a_server_sorts_by(
    filled, tmp_path, now
):
    back_up(filled.database, tmp_path / "farm.zip", now)
    with zipfile.ZipFile(tmp_path / "farm.zip") as archive:
        kept = [json.loads(line)["id"] for line in archive.read("fields.jsonl").splitlines()]
    assert kept == sorted(IDS, key=str.encode)


def test_a_server_is_asked_for_that_order_by_name(server, tmp_path, now):
    # The server of the tests knows no language, so what it is asked is looked at instead.
    with open_stores(server.new_database(), tmp_path) as shared:
        asked: list[str] = []
        event.listen(
            shared.database.engine, "before_cursor_execute", lambda *said: asked.append(said[2])
        )
        back_up(shared.database, tmp_path / "shared.zip", now)
    (fields,) = [one for one in asked if "FROM fields" in one]
    assert 'ORDER BY fields.id COLLATE "C"' in fields
