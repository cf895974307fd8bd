"""The first things people type, and the ways they get them wrong."""

import subprocess
import sys
from pathlib import Path

import pytest

from config.problem import ConfigError
from forecasts.errors import ForecastError
from scheduler.clock import ClockError
from scheduler.commands import COMMANDS
from scheduler.data_error import DataError
from scheduler.faults import report
from scheduler.plans import NoPlanError
from storage.errors import StorageError

HOUSE = Path(__file__).resolve().parent.parent.parent
WITH_PARTS = {
    "scout": ("add", "import", "list"),
    "spray": ("log", "list"),
    "harvest": ("log", "list"),
    "freeze": ("log", "inspected", "list"),
    "people": ("list", "stop", "allow"),
}
ALL = [(name,) for name in COMMANDS] + [
    (name, part) for name, parts in WITH_PARTS.items() for part in parts
]


@pytest.mark.parametrize("command", ALL, ids=" ".join)
def test_every_command_has_help_with_an_example(warmspell, command):
    told = warmspell(*command, "--help")
    assert told.code == 0
    assert "Example" in told.out
    assert f"warmspell {' '.join(command)}" in told.out
    assert told.err == ""


def test_help_lists_every_command_without_cutting_a_line_short(warmspell):
    told = warmspell("--help")
    assert [name for name in COMMANDS if f"  {name} " not in told.out] == []
    assert "..." not in told.out.replace("[ARGS]...", "")


def test_no_command_shows_the_help_and_is_a_usage_error(warmspell):
    told = warmspell()
    assert (told.code, told.out) == (64, "")
    assert "Commands:" in told.err


@pytest.mark.parametrize(
    ("arguments", "wanted"),
    [
        (["ckeck"], 'warmspell: got command "ckeck"; did you mean "check"?; see warmspell --help'),
        (["rank", "--json", "--csv"], "got --json and --csv, wanted one of them"),
        (["rank", "--jsno"], "--json"),
        (["explain"], "FIELD"),
        (["explain", "x", "--on", "soon"], "soon"),
        (["morning", "extra"], "extra"),
    ],
)
def test_a_command_asked_wrongly_says_so_in_one_line_and_exits_64(warmspell, arguments, wanted):
    told = warmspell(*arguments)
    assert (told.code, told.out) == (64, "")
    assert wanted in told.err
    assert len(told.err.splitlines()) == 1


def test_a_starter_passes_its_check_at_once(warmspell, tmp_path):
    made = warmspell("init", tmp_path / "mine")
    assert made.code == 0
    assert made.out.splitlines() == [
        str(tmp_path / "mine" / "farm.toml"),
        str(tmp_path / "mine" / "fields.csv"),
    ]
    told = warmspell("check", "--config", tmp_path / "mine" / "farm.toml")
    assert told.code == 0
    assert "5 fields" in told.out


def test_a_starter_never_overwrites(warmspell, farm):
    before = farm.read_bytes()
    told = warmspell("init", farm.parent)
    assert told.code == 78
    assert farm.read_bytes() == before


def test_a_config_with_faults_tells_them_all_and_exits_78(warmspell, farm):
    text = farm.read_text("utf-8")
    line = 1 + text[: text.index("send_at = ")].count("\n")
    farm.write_text(text.replace('send_at = "06:00"', 'send_att = "06:00"'), "utf-8")
    told = warmspell("check", "--config", farm)
    assert (told.code, told.out) == (78, "")
    assert told.err.startswith(f"{farm}:{line}: ")
    assert "send_at" in told.err


@pytest.mark.parametrize("command", [["rank"], ["explain", "x"], ["morning"], ["scout", "list"]])
def test_a_missing_config_exits_78(warmspell, tmp_path, command):
    told = warmspell(*command, "--config", tmp_path / "farm.toml")
    assert (told.code, told.out) == (78, "")
    assert "warmspell init" in told.err


@pytest.mark.parametrize("command", [["rank"], ["rank", "--json"], ["explain", "C1"]])
def test_without_a_morning_there_is_nothing_to_read_yet(warmspell, farm, command):
    told = warmspell(*command, "--config", farm)
    assert (told.code, told.out) == (75, "")
    assert "no morning has been run yet; run one with warmspell morning --dry-run" in told.err


def test_a_time_that_cannot_be_read_exits_64(warmspell, farm):
    told = warmspell("morning", "--dry-run", "--at", "yesterday", "--config", farm)
    assert (told.code, told.out) == (64, "")
    assert 'warmspell: --at: got "yesterday"' in told.err.replace("'", '"')


@pytest.mark.parametrize(
    ("fault", "code", "line"),
    [
        (ConfigError(["farm.toml:1: a: b", "farm.toml:2: c: d"]), 78, "farm.toml:2: c: d"),
        (DataError(["visits.csv:7: x"]), 65, "visits.csv:7: x"),
        (StorageError("farm.sqlite3: damaged"), 74, "farm.sqlite3: damaged"),
        (StorageError("farm.sqlite3: held", busy=True), 75, "farm.sqlite3: held"),
        (ForecastError("no folder", recoverable=False), 69, "forecast: no folder"),
        (ClockError("got x"), 64, "warmspell: --at: got x"),
        (NoPlanError("no plan yet"), 75, "no plan yet"),
    ],
)
def test_each_fault_has_its_code_and_its_line(capsys, fault, code, line):
    assert report(fault) == code
    assert capsys.readouterr().err.splitlines()[-1] == line


def test_a_fault_of_the_program_is_one_line_unless_a_traceback_is_asked_for(capsys, monkeypatch):
    monkeypatch.delenv("WARMSPELL_TRACEBACK", raising=False)
    assert report(ZeroDivisionError("two\nlines")) == 70
    told = capsys.readouterr().err
    assert told.startswith("warmspell: a fault of this program (ZeroDivisionError: two lines)")
    assert len(told.splitlines()) == 1
    monkeypatch.setenv("WARMSPELL_TRACEBACK", "1")
    report(ZeroDivisionError("two"))
    assert "ZeroDivisionError" in capsys.readouterr().err.splitlines()[0]


def test_the_real_entry_point_exits_with_the_commands_code(process, tmp_path):
    told = process("check", "--config", tmp_path / "farm.toml")
    assert told.returncode == 78
    assert b"Traceback" not in told.stderr


def test_a_reader_who_went_away_is_no_fault(process):
    entry = "from scheduler.commands import main; main()"
    for arguments in (["--help"], ["scout", "import", "--help"]):
        command = [sys.executable, "-c", entry, *arguments]
        running = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=HOUSE
        )
        assert running.stdout is not None
        running.stdout.close()
        assert running.stderr is not None
        said = running.stderr.read()
        running.stderr.close()
        assert (running.wait(30), said) == (0, b"")
