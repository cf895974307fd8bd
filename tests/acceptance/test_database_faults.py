"""Faults of the database, D01 to D15 of the fault list, as whole commands: nothing is half done."""

import os
import resource
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from scheduler.commands import run
from storage import transactions
from tests.acceptance.postbox import Postbox, open_postbox
from tests.acceptance.test_sending import reachable

DATABASE = "warmspell.sqlite3"
VISIT = ("--nacb", "3.2", "--open", "64")
COLUMNS = "field_id,observed,nodes_above_cracked_boll,percent_open"
#: A user of the system that owns nothing.
NOBODY = 65534


@pytest.fixture
def postbox() -> Iterator[Postbox]:
    with open_postbox() as box:
        yield box


@pytest.fixture
def field(demo) -> str:
    """The id of one of the demo's fields."""
    from config.load import load

    return load(demo / "farm.toml").fields[0].id


def _visits(farm: Path) -> int:
    with closing(sqlite3.connect(farm / DATABASE)) as connection:
        return int(connection.execute("SELECT count(*) FROM visits").fetchone()[0])


def _smashed(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        asked = "SELECT rootpage FROM sqlite_master WHERE name = 'visits'"
        (page,) = connection.execute(asked).fetchone()
    content = bytearray(path.read_bytes())
    content[(page - 1) * 4096 : (page - 1) * 4096 + 100] = b"\xff" * 100
    path.write_bytes(content)


def _halved(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def _newer(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("UPDATE warmspell_schema SET version_num = '9001'")
        connection.commit()


UNUSABLE = [
    pytest.param(_smashed, "damaged", marks=pytest.mark.fault("D07"), id="D07 page"),
    pytest.param(_halved, "damaged", marks=pytest.mark.fault("D07"), id="D07 half"),
    pytest.param(
        lambda path: path.write_bytes(b""),
        "an empty file",
        marks=pytest.mark.fault("D09"),
        id="D09",
    ),
    pytest.param(
        lambda path: path.write_bytes(b"field,acres\n" * 400),
        "not a database",
        marks=pytest.mark.fault("D10"),
        id="D10",
    ),
    pytest.param(_newer, "version 9001", marks=pytest.mark.fault("D12"), id="D12"),
]


@pytest.mark.parametrize(("spoil", "words"), UNUSABLE)
def test_on_a_file_that_cannot_be_used_nothing_is_sent_kept_or_changed(
    demo, postbox, capsys, field, spoil, words
):
    config = reachable(demo, postbox)
    spoil(demo / DATABASE)
    before = (demo / DATABASE).read_bytes()

    for asked in (("morning",), ("scout", "add", field, *VISIT), ("rank",), ("work",)):
        capsys.readouterr()
        assert run([*asked, "--config", str(config)]) == 74
        told = capsys.readouterr()
        assert words in told.err
        assert told.out == ""
    assert (postbox.mails, postbox.texts) == ([], [])
    assert (demo / DATABASE).read_bytes() == before


@pytest.mark.fault("D08")
def test_one_flipped_byte_makes_its_field_unknown_and_is_told(demo, morning, capsys):
    path = demo / DATABASE
    _, whole = morning(demo, "--dry-run")
    sprayed = next(one["field_id"] for one in whole["fields"] if one["call"] == "spray")
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        asked = "SELECT id, record FROM visits WHERE field_id = ? ORDER BY id DESC"
        number, record = connection.execute(asked, (sprayed,)).fetchone()
    content = path.read_bytes()
    place = content.index(record.encode()) + record.index('"percent_open":') + 15
    # A bit of the first digit: another number, and a file that is in order.
    path.write_bytes(content[:place] + bytes([content[place] ^ 1]) + content[place + 1 :])
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)

    code, told = morning(demo, "--dry-run")

    assert code == 3
    calls = {one["field_id"]: one["call"] for one in told["fields"]}
    assert calls[sprayed] == "unknown"
    assert len(calls) == len(whole["fields"])
    capsys.readouterr()
    assert run(["doctor", "--config", str(demo / "farm.toml"), "--offline"]) == 74
    assert f"visits row {number} " in capsys.readouterr().out


@pytest.mark.fault("D01")
def test_a_visit_that_cannot_be_saved_in_time_is_said_to_be_not_saved(
    demo, capsys, field, monkeypatch
):
    monkeypatch.setattr(transactions, "BUSY_TIMEOUT_S", 0.2)
    before = _visits(demo)
    add = ["scout", "add", field, *VISIT, "--config", str(demo / "farm.toml")]
    with closing(sqlite3.connect(demo / DATABASE, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        assert run(add) == 75
        told = capsys.readouterr()
        assert told.out == ""
        assert "nothing was saved" in told.err
        assert "try again" in told.err
        other.execute("COMMIT")
    assert _visits(demo) == before
    assert run(add) == 0
    assert _visits(demo) == before + 1


def _command(farm: Path, *asked: str, **options: object) -> subprocess.CompletedProcess[str]:
    entry = "from scheduler.commands import main; main()"
    return subprocess.run(
        [sys.executable, "-c", entry, *asked, "--config", str(farm / "farm.toml")],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
        **options,
    )


def _with_room(size: int) -> Callable[[], None]:
    # No file can grow past this: neither the database nor the log beside it.
    return lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))


def _without_log(farm: Path) -> int:
    with closing(sqlite3.connect(farm / DATABASE)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return _visits(farm)


@pytest.mark.fault("D04")
@pytest.mark.parametrize(
    ("room", "words"),
    [
        pytest.param(2_000, "", id="nothing can be written"),
        # The log's index takes 32,768 bytes, and each page of the log 4,120.
        pytest.param(40_000, "nothing was saved", id="the log cannot grow"),
    ],
)
def test_a_disk_that_takes_no_more_keeps_what_is_there_and_says_so(
    demo, tmp_path, field, room, words
):
    before = _without_log(demo)
    file = tmp_path / "visits.csv"
    rows = [f"{field},2026-10-0{1 + n % 5},{n % 100 / 10},{40 + n // 100}" for n in range(400)]
    file.write_text("\n".join([COLUMNS, *rows]))

    told = _command(demo, "scout", "import", str(file), preexec_fn=_with_room(room))

    assert (told.returncode, told.stdout) == (74, "")
    assert "check it, its room and its quota" in told.stderr
    assert words in told.stderr
    assert "Traceback" not in told.stderr
    assert _visits(demo) == before
    # Room again: the same file is taken as if nothing had happened.
    assert _command(demo, "scout", "import", str(file)).returncode == 0
    assert _visits(demo) == before + 400


@pytest.mark.fault("D04", "D05")
def test_a_visit_said_to_be_kept_is_kept_though_only_the_log_had_room(demo, field):
    before = _without_log(demo)
    told = _command(demo, "scout", "add", field, *VISIT, preexec_fn=_with_room(36_000))
    assert told.returncode == 0
    assert _visits(demo) == before + 1


@pytest.fixture
def as_nobody() -> Iterator[Callable[[Path], Path]]:
    """Work as a user who may read a copy of a farm and write nothing in it."""
    was, folders = os.geteuid(), []

    def begin(farm: Path) -> Path:
        folders.append(Path(tempfile.mkdtemp(prefix="warmspell-readonly-")))
        copy = Path(shutil.copytree(farm, folders[0] / "farm"))
        for one in (folders[0], copy, *copy.rglob("*")):
            one.chmod(0o555 if one.is_dir() else 0o444)
        if was == 0:
            os.seteuid(NOBODY)
        return copy

    yield begin
    os.seteuid(was)
    for folder in folders:
        for one in (folder, *folder.rglob("*")):
            one.chmod(0o755 if one.is_dir() else 0o644)
        shutil.rmtree(folder)


@pytest.mark.fault("D15")
def test_a_folder_that_may_not_be_written_is_named_and_left(demo, capsys, field, as_nobody):
    # Once before, so that everything that is loaded late is loaded by who may read it.
    assert run(["scout", "add", field, *VISIT, "--config", str(demo / "farm.toml")]) == 0
    with closing(sqlite3.connect(demo / DATABASE)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    copy = as_nobody(demo)
    before = (copy / DATABASE).read_bytes()
    capsys.readouterr()

    code = run(["scout", "add", field, *VISIT, "--config", str(copy / "farm.toml")])

    told = capsys.readouterr()
    assert (code, told.out) == (74, "")
    assert str(copy / DATABASE) in told.err
    assert "permissions" in told.err
    assert (copy / DATABASE).read_bytes() == before
    assert not list(copy.glob(f"{DATABASE}-*"))
