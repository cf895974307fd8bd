"""The servers, the process that makes copies, and a farm made once.

Loops are short unless WARMSPELL_LONG=1 is set; docs/reliability.md has the figures of the long
ones.
"""

import csv
import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.reliability.mill import Mill, Zygote, copy_of, write_mill_farm
from tests.reliability.postroom import Postroom, open_postroom

#: Figures of the long form, from which docs/reliability.md is written.
FIGURES = Path(__file__).resolve().parent.parent.parent / "docs" / "reliability_figures.csv"


@pytest.fixture(scope="session")
def long() -> bool:
    """Whether the loops run at full length."""
    return os.environ.get("WARMSPELL_LONG") == "1"


@pytest.fixture(scope="session")
def shared_room() -> Iterator[Postroom]:
    """The servers, which take some time to start."""
    with open_postroom() as room:
        yield room


@pytest.fixture
def room(shared_room: Postroom) -> Postroom:
    """The servers, empty."""
    shared_room.clear()
    shared_room.slow_s, shared_room.refuse = 0.0, set()
    return shared_room


@pytest.fixture(scope="session")
def zygote() -> Iterator[Zygote]:
    """The process that makes the copies."""
    one = Zygote()
    yield one
    one.close()


@pytest.fixture(scope="session")
def farms(shared_room: Postroom, tmp_path_factory: pytest.TempPathFactory) -> Callable[[int], Path]:
    """A farm with a number of readers, made once."""
    made: dict[int, Path] = {}

    def farm(people: int) -> Path:
        if people not in made:
            folder = tmp_path_factory.mktemp("mill") / "farm"
            made[people] = write_mill_farm(folder, shared_room, people)
        return made[people]

    return farm


@pytest.fixture
def mill(
    farms: Callable[[int], Path], room: Postroom, zygote: Zygote, tmp_path: Path
) -> Callable[[int], Mill]:
    """A farm of its own for each call."""
    count = 0

    def new(people: int = 3) -> Mill:
        nonlocal count
        count += 1
        room.clear()
        return Mill(copy_of(farms(people), tmp_path / f"farm-{count}"), room, zygote, people)

    return new


@pytest.fixture
def figure(long: bool, request: pytest.FixtureRequest) -> Callable[[str], None]:
    """Say a figure; one of the long form is kept for the page."""

    def say(told: str) -> None:
        print(told)
        if not long:
            return
        kept: dict[str, str] = {}
        if FIGURES.exists():
            with FIGURES.open(encoding="utf-8", newline="") as stream:
                kept = {row[0]: row[1] for row in csv.reader(stream)}
        kept[request.node.name] = told
        with FIGURES.open("w", encoding="utf-8", newline="") as stream:
            csv.writer(stream, lineterminator="\n").writerows(sorted(kept.items()))

    return say
