"""A damaged file of the embedded database: refused, left as it is, and kept aside once."""

import os
import sqlite3
import stat
from contextlib import closing
from pathlib import Path

import pytest

from storage import damaged_file
from storage.backup import back_up
from storage.database import open_database
from storage.errors import DamagedFileError, StorageError
from storage.looked_at import opened_as_it_is
from storage.restore import restore
from storage.stores import open_stores

PAGE = 4096


@pytest.fixture
def filled(farm_file, a_visit, now) -> Path:
    """A farm's file with forty visits in it."""
    with open_stores(farm_file, ".") as stores:
        stores.visits.add([a_visit(note="x" * 200) for _ in range(40)], now)
    return farm_file


def smash(path: Path, mark: bytes = b"\xff") -> None:
    """Overwrite the start of the page the visits begin at."""
    with closing(sqlite3.connect(f"file:{path}?immutable=1", uri=True)) as connection:
        asked = "SELECT rootpage FROM sqlite_master WHERE name = 'visits'"
        (page,) = connection.execute(asked).fetchone()
    content = bytearray(path.read_bytes())
    content[(page - 1) * PAGE : (page - 1) * PAGE + 100] = mark * 100
    path.write_bytes(content)


def halve(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def kept(path: Path) -> list[Path]:
    return sorted(path.parent.glob(f"{path.name}.corrupt-*"))


@pytest.mark.fault("D07")
@pytest.mark.parametrize("spoil", [smash, halve])
def test_a_damaged_file_is_refused_and_its_bytes_are_kept_aside(filled, spoil):
    spoil(filled)
    damaged = filled.read_bytes()

    with pytest.raises(DamagedFileError) as refused:
        open_database(filled)

    (copy,) = kept(filled)
    assert (filled.read_bytes(), copy.read_bytes()) == (damaged, damaged)
    assert stat.S_IMODE(copy.stat().st_mode) == stat.S_IMODE(filled.stat().st_mode)
    message = str(refused.value)
    assert message.startswith(f"{filled}: the file is damaged")
    assert f"nothing was changed, it is kept as {copy}" in message
    assert "put back a backup: warmspell restore FILE --replace" in message
    assert "\n" not in message


@pytest.mark.fault("D07")
def test_the_same_damage_is_kept_once_and_another_beside_it(filled):
    smash(filled)
    first = filled.read_bytes()
    for _ in range(3):
        with pytest.raises(DamagedFileError):
            open_database(filled)
    (copy,) = kept(filled)

    smash(filled, b"\xfe")
    os.utime(filled, (2_000_000_000, 2_000_000_000))
    with pytest.raises(DamagedFileError):
        open_database(filled)
    (other,) = set(kept(filled)) - {copy}
    assert (copy.read_bytes(), other.read_bytes()) == (first, filled.read_bytes())
    assert other.name.endswith(".corrupt-20330518T033320.000000Z")


@pytest.mark.fault("D07")
def test_what_is_in_the_log_beside_it_is_kept_too(filled, a_visit, now):
    with open_stores(filled, ".") as stores:
        stores.visits.add([a_visit()], now)
        log = filled.with_name(f"{filled.name}-wal")
        whole, logged = filled.read_bytes(), log.read_bytes()
    assert logged
    # As a loss of power leaves them: the file smashed, the log not yet written into it.
    filled.write_bytes(whole[: len(whole) // 2])
    log.write_bytes(logged)

    with pytest.raises(DamagedFileError):
        open_database(filled)

    file, beside = kept(filled)
    assert beside.name == f"{file.name}-wal"
    assert (file.read_bytes(), beside.read_bytes()) == (filled.read_bytes(), logged)


@pytest.mark.fault("D07")
def test_a_copy_that_cannot_be_made_is_told_and_the_file_is_left(filled, monkeypatch):
    smash(filled)
    damaged = filled.read_bytes()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(damaged_file.shutil, "copyfile", full)
    with pytest.raises(DamagedFileError, match=r"could not be copied .*No space left on device"):
        open_database(filled)
    assert filled.read_bytes() == damaged
    assert kept(filled) == []
    assert [one.name for one in filled.parent.iterdir() if one.name.endswith(".new")] == []


@pytest.mark.fault("D07")
def test_who_only_looks_keeps_no_copy(filled, tmp_path):
    smash(filled)
    with pytest.raises(DamagedFileError):
        opened_as_it_is(filled, tmp_path)
    assert kept(filled) == []


@pytest.mark.fault("D09", "D10")
@pytest.mark.parametrize("content", [b"", b"field,acres\n" * 400])
def test_a_file_that_is_no_database_is_no_damaged_one(filled, content):
    filled.write_bytes(content)
    with pytest.raises(StorageError) as refused:
        open_database(filled)
    assert not isinstance(refused.value, DamagedFileError)
    assert kept(filled) == []


@pytest.mark.fault("D07")
def test_a_backup_is_put_back_as_it_is_told_and_what_was_damaged_is_still_there(
    filled, tmp_path, now
):
    backup = tmp_path / "farm.zip"
    with open_stores(filled, ".") as stores:
        back_up(stores.database, backup, now)
        visits = stores.visits.all()
    smash(filled)
    damaged = filled.read_bytes()
    with pytest.raises(DamagedFileError):
        open_database(filled)

    told = restore(backup, filled, tmp_path, now, replace=True)

    with open_stores(filled, ".") as stores:
        assert stores.visits.all() == visits
    (copy,) = kept(filled)
    assert copy.read_bytes() == damaged == Path(told.kept_as).read_bytes()
