"""What is given to run the worker by: it parses, names commands that exist, and runs as nobody."""

import json
import re
import shutil
import subprocess
import tomllib
from pathlib import Path

import pytest

from scheduler import exit_codes
from scheduler.commands import COMMANDS

HOUSE = Path(__file__).resolve().parent.parent.parent
UNIT = HOUSE / "deploy" / "warmspell.service"
CONTAINER = HOUSE / "deploy" / "Containerfile"


def unit() -> dict[str, list[str]]:
    """Keys of the unit with every value given to them."""
    told: dict[str, list[str]] = {}
    for line in UNIT.read_text("utf-8").splitlines():
        if re.match(r"[A-Z]\w+=", line):
            key, _, value = line.partition("=")
            told.setdefault(key, []).append(value)
    return told


def steps() -> list[tuple[str, str]]:
    """Instructions of the container file, lines that go on joined."""
    text = re.sub(r"\\\n\s*", " ", CONTAINER.read_text("utf-8"))
    lines = [one for one in text.splitlines() if one and not one.startswith("#")]
    return [(name, rest) for name, _, rest in (line.partition(" ") for line in lines)]


@pytest.mark.skipif(not shutil.which("systemd-analyze"), reason="systemd-analyze is not here")
def test_systemd_finds_nothing_wrong_with_the_unit(tmp_path):
    # It looks for the program, which is not installed where tests run.
    text = re.sub(r"/opt/warmspell/bin/warmspell", "/bin/true", UNIT.read_text("utf-8"))
    (tmp_path / UNIT.name).write_text(text.replace("User=warmspell", "User=root"))
    told = subprocess.run(
        ["systemd-analyze", "verify", "--man=no", str(tmp_path / UNIT.name)],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    ours = [line for line in (told.stdout + told.stderr).splitlines() if UNIT.name in line]
    assert ours == []


def test_the_unit_runs_commands_that_exist_with_options_they_have(warmspell):
    for order in (*unit()["ExecStart"], *unit()["ExecStartPre"]):
        program, command, *rest = order.split()
        assert program.endswith("/bin/warmspell")
        assert command in COMMANDS
        told = warmspell(command, "--help").out
        assert [one for one in rest if one.startswith("--") and one not in told] == []


def test_the_unit_is_nobody_and_sees_its_own_folder_alone():
    told = {key: values[-1] for key, values in unit().items()}

    assert told["User"] == "warmspell"
    assert (told["ProtectSystem"], told["UMask"]) == ("strict", "0077")
    assert told["NoNewPrivileges"] == told["ProtectHome"] == "yes"
    assert told["CapabilityBoundingSet"] == ""
    assert told["StateDirectoryMode"] == "0700"


def test_a_config_that_cannot_be_used_is_not_tried_for_ever():
    codes = {int(one) for one in unit()["RestartPreventExitStatus"][0].split()}

    assert codes == {exit_codes.USAGE, exit_codes.CONFIG}
    assert unit()["Restart"] == ["on-failure"]


def test_the_container_holds_every_room_of_the_wheel_and_copies_only_what_is_there():
    copied = {
        name
        for step, rest in steps()
        if step == "COPY" and not rest.startswith("--from")
        for name in rest.split()[:-1]
    }
    project = tomllib.loads((HOUSE / "pyproject.toml").read_text("utf-8"))
    rooms = set(project["tool"]["hatch"]["build"]["targets"]["wheel"]["packages"])

    assert rooms <= copied
    assert [name for name in copied if not (HOUSE / name).exists()] == []
    assert not {"deploy", "tests"} & rooms


def test_the_container_starts_the_worker_as_nobody(warmspell):
    last = dict(steps())
    order = json.loads(last["CMD"])

    assert last["USER"] == "warmspell"
    assert json.loads(last["ENTRYPOINT"]) == ["warmspell"]
    assert order[0] == "work"
    told = warmspell("work", "--help").out
    assert [one for one in order if one.startswith("--") and one not in told] == []


def test_the_versions_of_the_container_are_those_of_the_lock():
    (run,) = [rest for step, rest in steps() if step == "RUN" and "versions.txt" in rest]
    told = subprocess.run(
        ["sh", "-c", run.partition(" > ")[0]],
        capture_output=True,
        text=True,
        check=True,
        cwd=HOUSE,
        timeout=60,
    )
    found = told.stdout.splitlines()

    assert len(found) > 30
    assert all(re.fullmatch(r"[A-Za-z0-9._-]+==[0-9][^\s;]*", one) for one in found)


@pytest.mark.parametrize("path", [UNIT, CONTAINER], ids=lambda path: path.name)
def test_no_secret_stands_in_what_runs_the_worker(path):
    text = path.read_text("utf-8")
    assert not re.search(r"(?i)(password|secret|token|key)\s*=\s*\S", text)
