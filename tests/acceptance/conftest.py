"""A demo farm for each test, and the command line as a person uses it."""

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from scheduler.commands import run as warmspell


@pytest.fixture(scope="session")
def demo_made_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's farm, made by the command."""
    folder = tmp_path_factory.mktemp("demo") / "farm"
    assert warmspell(["demo", "--out", str(folder)]) == 0
    return folder


@pytest.fixture
def demo(demo_made_once: Path, tmp_path: Path) -> Path:
    """A copy of the demo's farm that a test may spoil."""
    return Path(shutil.copytree(demo_made_once, tmp_path / "farm"))


@pytest.fixture
def morning(capsys: pytest.CaptureFixture[str]) -> Callable[..., tuple[int, dict[str, Any]]]:
    """Runs ``warmspell morning --json`` on a farm: (exit code, what it printed)."""

    def run(farm: Path, *more: str) -> tuple[int, dict[str, Any]]:
        capsys.readouterr()
        code = warmspell(["morning", "--config", str(farm / "farm.toml"), "--json", *more])
        told = capsys.readouterr()
        assert "Traceback" not in told.err
        return code, json.loads(told.out, parse_constant=_no_constant)

    return run


def _no_constant(word: str) -> None:
    pytest.fail(f"JSON for programs held {word}")
