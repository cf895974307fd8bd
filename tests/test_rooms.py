"""Which room may import which, which rooms are pure, and who may read the clock."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

HOUSE = Path(__file__).resolve().parent.parent

#: The arrows: what each room may import of ours, itself aside.
ARROWS = {
    "farm": set(),
    "agronomy": set(),
    "dispatch": {"farm", "agronomy"},
    "forecasts": {"farm", "agronomy"},
    "notify": {"farm", "agronomy", "dispatch"},
    "storage": {"farm", "agronomy", "dispatch"},
    "web": {"farm", "agronomy", "dispatch", "forecasts", "notify", "storage"},
    "config": {"farm", "agronomy", "dispatch", "forecasts", "notify", "storage", "web"},
    "scheduler": {
        *("farm", "agronomy", "dispatch", "forecasts", "notify", "storage", "web", "config"),
    },
}
PURE = ("farm", "agronomy", "dispatch")

#: What a pure room may not import: the network, the disk, the database, the clock, the log.
IMPURE = {
    *("os", "sys", "io", "time", "logging", "pathlib", "shutil", "tempfile", "glob", "random"),
    *("socket", "ssl", "http", "urllib", "subprocess", "threading", "multiprocessing", "asyncio"),
    *("requests", "urllib3", "sqlalchemy", "alembic", "sqlite3", "apscheduler", "click", "rich"),
    *("jinja2", "smtplib", "email"),
}
CALLS_OF_THE_WORLD = {"open", "print", "input", "exec", "eval", "__import__"}
CLOCK_READINGS = {
    *("datetime.now", "datetime.utcnow", "datetime.today", "date.today"),
    *("time.time", "time.time_ns", "time.localtime", "time.gmtime", "Timestamp.now"),
    *("Timestamp.utcnow", "Timestamp.today"),
}


def files_of(*rooms: str) -> list[Path]:
    return sorted(path for room in rooms for path in (HOUSE / room).rglob("*.py"))


def imported(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Line and first name of everything imported, wherever in the file."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name.partition(".")[0]) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.lineno, (node.module or "").partition(".")[0] if node.level == 0 else "."


def called(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Line and name of every call: ``open`` or the last two parts of ``a.b.c``."""
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        if isinstance(node.func, ast.Name):
            yield node.lineno, node.func.id
        elif isinstance(node.func, ast.Attribute):
            owner = node.func.value
            if isinstance(owner, ast.Name):
                yield node.lineno, f"{owner.id}.{node.func.attr}"
            elif isinstance(owner, ast.Attribute):
                yield node.lineno, f"{owner.attr}.{node.func.attr}"


def forbidden_imports(source: str, room: str) -> list[str]:
    allowed = ARROWS[room] | {room}
    return [
        f"line {line}: {room} imports {name}"
        for line, name in imported(ast.parse(source))
        if (name in ARROWS and name not in allowed) or name in (".", "tests")
    ]


def impurities(source: str) -> list[str]:
    tree = ast.parse(source)
    found = [f"line {line}: imports {name}" for line, name in imported(tree) if name in IMPURE]
    found += [f"line {line}: {name}()" for line, name in called(tree) if name in CALLS_OF_THE_WORLD]
    found += [
        f"line {line}: {name}() without a seed"
        for line, name in called(tree)
        if name.startswith("random.") and name != "random.default_rng"
    ]
    found += [
        f"line {node.lineno}: default_rng() without a seed"
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and not node.args
        and not node.keywords
        and ast.unparse(node.func).endswith("default_rng")
    ]
    return found


def clock_readings(source: str) -> list[str]:
    tree = ast.parse(source)
    return [f"line {line}: {name}()" for line, name in called(tree) if name in CLOCK_READINGS]


def named(path: Path) -> str:
    return str(path.relative_to(HOUSE))


@pytest.mark.parametrize("path", files_of(*ARROWS), ids=named)
def test_arrows_between_rooms_point_one_way(path):
    assert forbidden_imports(path.read_text("utf-8"), path.relative_to(HOUSE).parts[0]) == []


@pytest.mark.parametrize("path", files_of(*PURE), ids=named)
def test_pure_rooms_touch_nothing_outside(path):
    assert impurities(path.read_text("utf-8")) == []


@pytest.mark.parametrize(
    "path", files_of(*(room for room in ARROWS if room != "scheduler")), ids=named
)
def test_only_the_scheduler_reads_the_clock(path):
    assert clock_readings(path.read_text("utf-8")) == []


def test_within_the_scheduler_only_the_clock_reads_the_clock():
    readers = {named(path) for path in files_of("scheduler") if clock_readings(path.read_text())}
    assert readers == {"scheduler/clock.py"}


def test_every_room_has_its_row_in_the_table():
    rooms = {path.parent.name for path in HOUSE.glob("*/__init__.py")} - {"tests", "benchmarks"}
    assert rooms <= set(ARROWS)


@pytest.mark.parametrize(
    ("source", "room"),
    [
        ("import storage", "agronomy"),
        ("import storage.tables as t", "forecasts"),
        ("from config.load import load", "notify"),
        ("def f():\n    from scheduler import clock", "config"),
        ("from . import sibling", "farm"),
        ("from tests import conftest", "scheduler"),
    ],
)
def test_a_planted_arrow_is_caught(source, room):
    assert len(forbidden_imports(source, room)) == 1


@pytest.mark.parametrize(
    "source",
    [
        "import os",
        "import os.path",
        "from pathlib import Path",
        "def f():\n    import requests",
        "text = open('x').read()",
        "print('x')",
        "import numpy as np\nnp.random.normal()",
        "import numpy as np\nrng = np.random.default_rng()",
    ],
)
def test_a_planted_impurity_is_caught(source):
    assert impurities(source) != []


@pytest.mark.parametrize(
    "source",
    [
        "from datetime import datetime, UTC\nnow = datetime.now(UTC)",
        "import datetime\nnow = datetime.datetime.utcnow()",
        "from datetime import date\ntoday = date.today()",
        "import time\nt = time.time()",
        "import pandas as pd\nt = pd.Timestamp.now()",
    ],
)
def test_a_planted_clock_reading_is_caught(source):
    assert clock_readings(source) != []


def test_a_seeded_generator_and_a_passed_time_are_let_through():
    source = "import numpy as np\nrng = np.random.default_rng(7)\nmoment = now.replace(minute=0)"
    assert impurities(source) == []
    assert clock_readings(source) == []
