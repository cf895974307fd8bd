"""Backups made while others write, damaged ones refused, and farms put back whole."""

import json
import os
import shutil
import stat
import threading
import zipfile
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import select

from storage import backup_file, schema
from storage.backup import back_up
from storage.errors import StorageError
from storage.restore import restore
from storage.stores import open_stores
from storage.tables import metadata


@pytest.fixture
def kept(tmp_path) -> Path:
    return tmp_path / "backups" / "farm.zip"


@pytest.fixture
def full_farm(
    stores,
    a_field,
    a_visit,
    a_spray,
    a_harvest,
    a_freeze,
    an_inspection,
    a_retraction,
    now,
    a_forecast,
    a_message,
):
    """A farm with something in nearly every table."""
    stores.fields.remember([a_field()], now)
    stores.visits.add([a_visit(note="café ☔"), a_visit(field_id="007")], now)
    stores.visits.reject([("no field", "x;1\n")], now)
    wrong = a_spray()
    stores.sprays.add(wrong, now)
    stores.retractions.add(a_retraction(wrong, why="café ☔"), now)
    stores.harvests.add(a_harvest(), now)
    stores.freezes.add(a_freeze(), now)
    stores.freeze_inspections.add(an_inspection(), now)
    stores.forecasts.keep(a_forecast())
    stores.deliveries.plan([a_message()], now)
    stores.runs.begin(date(2026, 10, 6), "morning", now)
    return stores


def _rows(database) -> dict[str, list[tuple[object, ...]]]:
    with database.read() as connection:
        return {
            table.name: [
                tuple(row) for row in connection.execute(select(table).order_by(*table.primary_key))
            ]
            for table in metadata.sorted_tables
        }


def test_a_farm_put_back_has_every_row_it_had(full_farm, kept, tmp_path, now, a_visit):
    manifest = back_up(full_farm.database, kept, now)
    restore(kept, "again.db", tmp_path, now, hold=False)

    with open_stores("again.db", tmp_path) as again:
        assert _rows(again.database) == _rows(full_farm.database)
        assert again.visits.all() == full_farm.visits.all()
        assert again.retractions.taken_back(now) == {one.uuid for one in again.sprays.all()}
        assert again.visits.add([a_visit()], now) == 1
    counts = {name: entry.rows for name, entry in manifest.tables.items() if entry.rows}
    assert counts == {
        "fields": 1,
        "visits": 2,
        **dict.fromkeys(("rejected_visits", "sprays", "harvests", "freezes"), 1),
        **dict.fromkeys(("freeze_inspections", "retractions", "forecasts"), 1),
        **dict.fromkeys(("deliveries", "runs"), 1),
    }


def test_a_backup_is_for_its_owner_alone_and_leaves_nothing_beside(full_farm, kept, now):
    back_up(full_farm.database, kept, now)
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    assert os.listdir(kept.parent) == ["farm.zip"]


def test_a_backup_that_is_there_is_never_written_over(full_farm, kept, now):
    back_up(full_farm.database, kept, now)
    before = kept.read_bytes()
    with pytest.raises(StorageError, match="name another"):
        back_up(full_farm.database, kept, now)
    assert kept.read_bytes() == before


@pytest.mark.fault("D14")
def test_what_is_still_in_the_log_beside_the_file_is_in_the_backup(
    full_farm, farm_file, kept, tmp_path, now
):
    log = farm_file.with_name(farm_file.name + "-wal")
    assert log.stat().st_size > 0
    shutil.copy(farm_file, tmp_path / "copied.db")
    back_up(full_farm.database, kept, now)
    restore(kept, "again.db", tmp_path, now, hold=False)

    with open_stores("again.db", tmp_path) as again, open_stores("copied.db", tmp_path) as copied:
        assert len(again.visits.all()) == 2
        # The twin: a plain copy of the file has lost them.
        assert copied.visits.all() == ()


def test_a_backup_taken_while_a_writer_writes_holds_one_moment(
    stores, kept, tmp_path, now, a_visit, a_spray
):
    stop, written = threading.Event(), []

    def write_pairs() -> None:
        while not stop.is_set():
            with stores.database.write():
                stores.visits.add([a_visit()], now)
                stores.sprays.add(a_spray(), now)
            written.append(1)

    writer = threading.Thread(target=write_pairs)
    writer.start()
    try:
        for number in range(5):
            before = len(written)
            manifest = back_up(stores.database, kept.with_name(f"{number}.zip"), now)
            pairs = manifest.tables["visits"].rows
            assert pairs == manifest.tables["sprays"].rows
            assert before <= pairs <= len(written) + 1
    finally:
        stop.set()
        writer.join()
    restore(kept.with_name("4.zip"), "again.db", tmp_path, now)


def test_any_byte_changed_in_a_backup_is_noticed_or_without_effect(full_farm, kept, tmp_path, now):
    back_up(full_farm.database, kept, now)
    whole, rows = kept.read_bytes(), _rows(full_farm.database)
    refused = 0
    # Every place in turn would take minutes; a step that shares no factor with anything.
    for place in range(0, len(whole), 997):
        spoilt = bytearray(whole)
        spoilt[place] ^= 0x20
        kept.write_bytes(spoilt)
        try:
            restore(kept, f"{place}.db", tmp_path, now, hold=False)
        except StorageError:
            refused += 1
            assert not (tmp_path / f"{place}.db").exists()
            continue
        with open_stores(f"{place}.db", tmp_path) as again:
            assert _rows(again.database) == rows
    assert refused > 3


@pytest.mark.parametrize("size", [0, 100, -1, -400])
def test_a_backup_cut_off_is_refused(full_farm, kept, tmp_path, now, size):
    back_up(full_farm.database, kept, now)
    kept.write_bytes(kept.read_bytes()[:size])
    with pytest.raises(StorageError, match="damaged, or not a backup"):
        restore(kept, "again.db", tmp_path, now, hold=False)
    assert not (tmp_path / "again.db").exists()


@pytest.mark.parametrize(
    ("place", "bit"),
    [
        # Places in a file's entry in the directory: PKWARE, APPNOTE.TXT, 4.3.12, 4.4.4, 4.4.5.
        pytest.param(8, 1, id="marked as encrypted"),
        pytest.param(10, 1, id="another compression"),
    ],
)
def test_one_bit_that_tells_of_another_kind_of_zip_is_refused(
    full_farm, kept, tmp_path, now, place, bit
):
    back_up(full_farm.database, kept, now)
    spoilt = bytearray(kept.read_bytes())
    spoilt[spoilt.index(b"PK\x01\x02") + place] ^= bit
    kept.write_bytes(spoilt)
    with pytest.raises(StorageError, match="damaged, or not a backup"):
        restore(kept, "again.db", tmp_path, now, hold=False)
    assert not (tmp_path / "again.db").exists()


def test_a_changed_line_with_sound_zip_sums_is_refused(full_farm, kept, tmp_path, now):
    back_up(full_farm.database, kept, now)
    _rewritten(kept, lambda name, text: text.replace(b"north-draw", b"south-draw"))
    with pytest.raises(StorageError, match=r"table \w+ is damaged"):
        restore(kept, "again.db", tmp_path, now, hold=False)
    assert sorted(one.name for one in tmp_path.iterdir() if "again" in one.name) == []


@pytest.mark.fault("D12")
def test_a_backup_of_a_newer_version_is_refused(full_farm, kept, tmp_path, now):
    back_up(full_farm.database, kept, now)
    newest = f'"schema_version": "{schema.NEWEST}"'.encode()
    _rewritten(kept, lambda name, text: text.replace(newest, b'"schema_version": "9001"'))
    with pytest.raises(StorageError, match="newer warmspell"):
        restore(kept, "again.db", tmp_path, now, hold=False)


def _rewritten(kept: Path, change) -> None:
    with zipfile.ZipFile(kept) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    with zipfile.ZipFile(kept, "w") as archive:
        for name, text in members.items():
            archive.writestr(name, change(name, text))


def test_a_place_that_is_not_empty_is_left_as_it_is(full_farm, farm_file, kept, tmp_path, now):
    back_up(full_farm.database, kept, now)
    full_farm.close()
    before = farm_file.read_bytes()
    with pytest.raises(StorageError, match="wanted an empty place"):
        restore(kept, farm_file, tmp_path, now)
    assert farm_file.read_bytes() == before


@pytest.mark.fault("D07", "D09", "D10")
@pytest.mark.parametrize("spoilt", [b"", b"field,acres\n" * 400], ids=["zero bytes", "garbage"])
def test_what_stood_there_is_kept_beside_when_it_is_replaced(
    full_farm, farm_file, kept, tmp_path, now, spoilt
):
    back_up(full_farm.database, kept, now)
    rows = _rows(full_farm.database)
    full_farm.close()
    farm_file.write_bytes(spoilt)

    told = restore(kept, farm_file, tmp_path, now, replace=True, hold=False)

    assert told.kept_as == f"{farm_file}.before-20261006T103000Z"
    assert Path(told.kept_as).read_bytes() == spoilt
    with open_stores(farm_file, tmp_path) as again:
        assert _rows(again.database) == rows


def test_a_log_left_beside_a_file_that_is_gone_is_not_read_into_the_new_one(
    full_farm, farm_file, kept, tmp_path, now, a_visit
):
    back_up(full_farm.database, kept, now)
    full_farm.visits.add([a_visit(field_id="later")], now)
    log = farm_file.with_name(farm_file.name + "-wal")
    left = log.read_bytes()
    full_farm.close()
    farm_file.unlink()
    log.write_bytes(left)

    with pytest.raises(StorageError, match="wanted an empty place"):
        restore(kept, farm_file, tmp_path, now)
    told = restore(kept, farm_file, tmp_path, now, replace=True, hold=False)
    assert Path(f"{told.kept_as}-wal").read_bytes() == left
    with open_stores(farm_file, tmp_path) as again:
        assert len(again.visits.all()) == 2


def test_a_backup_of_an_older_version_is_put_back_and_brought_up_to_date(
    full_farm, kept, tmp_path, now
):
    back_up(full_farm.database, kept, now)
    first = {
        *("fields", "visits", "rejected_visits", "sprays", "forecasts", "plans"),
        "deliveries",
        "runs",
        "grid_cells",
    }
    with zipfile.ZipFile(kept) as archive:
        manifest = json.loads(archive.read("manifest.json"))
    manifest["schema_version"] = "0001"
    manifest["tables"] = {name: one for name, one in manifest["tables"].items() if name in first}
    old = json.dumps(manifest).encode()
    _rewritten(kept, lambda name, text: old if name == "manifest.json" else text)

    restore(kept, "again.db", tmp_path, now, hold=False)
    with open_stores("again.db", tmp_path) as again:
        assert again.visits.all() == full_farm.visits.all()
        assert again.harvests.all() == ()


def test_a_folder_that_cannot_be_made_is_named(full_farm, kept, now):
    kept.parent.write_bytes(b"a file where the folder should be")
    with pytest.raises(StorageError, match="cannot be written"):
        back_up(full_farm.database, kept, now)


def test_a_damaged_database_gives_no_backup(full_farm, farm_file, kept, now):
    full_farm.close()
    content = bytearray(farm_file.read_bytes())
    content[4096 * 3 : 4096 * 3 + 60] = b"\xff" * 60
    farm_file.write_bytes(content)
    with pytest.raises(StorageError, match="damaged"):
        back_up(full_farm.database, kept, now)
    assert os.listdir(kept.parent) == []


def test_rows_that_come_out_other_than_they_went_in_are_not_kept(
    full_farm, kept, tmp_path, now, monkeypatch
):
    back_up(full_farm.database, kept, now)
    whole = backup_file.decoded

    def careless(value, kind):
        return whole(value, kind) if kind != "text" or value is None else value.strip("\n")

    monkeypatch.setattr(backup_file, "decoded", careless)
    with pytest.raises(StorageError, match="table rejected_visits: got other rows"):
        restore(kept, "again.db", tmp_path, now)
    assert not (tmp_path / "again.db").exists()
