"""A demo farm for each test, and the command line as a person uses it."""

import json
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from forecasts.client import WeatherClient
from scheduler.commands import run as warmspell
from tests.acceptance.feed_farm import FeedFarm, feed_farm, write_feed_farm


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


@pytest.fixture(scope="session")
def feed_farm_made_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The farm of three fields that the tests of the feed copy."""
    return write_feed_farm(tmp_path_factory.mktemp("feed") / "farm")


@pytest.fixture
def slept_s(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """What the client would have slept [s]; it does not."""
    slept: list[float] = []
    defaults: Any = WeatherClient.__init__.__kwdefaults__
    monkeypatch.setitem(defaults, "sleep", slept.append)
    return slept


@pytest.fixture
def feed(
    feed_farm_made_once: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    slept_s: list[float],
) -> Iterator[FeedFarm]:
    """Three mature fields whose weather service breaks as it is told."""
    with feed_farm(feed_farm_made_once, tmp_path / "feed", capsys) as farm:
        yield farm
