"""The house rules that a file listing can check, and a command line that starts quickly."""

import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

HOUSE = Path(__file__).resolve().parent.parent
ROOMS = (
    *("farm", "agronomy", "dispatch", "forecasts", "notify", "storage", "config", "scheduler"),
    *("web", "tests", "benchmarks", "docs", "scripts"),
)
LONGEST_FILE_LINES = 400
VAGUE_NAMES = {"utils", "helpers", "base", "common", "misc", "util", "helper"}
#: Libraries that take long to import and that no command needs to show its help.
HEAVY = ("numpy", "pandas", "sqlalchemy", "shapely", "requests", "pyproj", "jinja2", "pydantic")


def python_files() -> list[Path]:
    return sorted(path for room in ROOMS for path in (HOUSE / room).rglob("*.py"))


def text_files() -> list[Path]:
    suffixes = {".py", ".toml", ".md", ".lock", ".txt", ".cfg", ".yml", ".yaml", ".json", ".csv"}
    inside = [path for room in ROOMS for path in (HOUSE / room).rglob("*")]
    around = [*HOUSE.glob("*"), *(HOUSE / ".ci").glob("*")]
    return sorted(
        path
        for path in (*inside, *around)
        if path.is_file() and (path.suffix in suffixes or path.parent.name == ".ci")
    )


def named(path: Path) -> str:
    return str(path.relative_to(HOUSE))


@pytest.mark.parametrize("path", python_files(), ids=named)
def test_no_file_is_too_long_to_read(path):
    assert len(path.read_text("utf-8").splitlines()) <= LONGEST_FILE_LINES


def test_no_file_has_a_name_that_says_nothing():
    assert [named(path) for path in python_files() if path.stem in VAGUE_NAMES] == []


def test_no_file_names_a_package_registry():
    # Spelled apart so that this file does not name them either.
    hosts = "|".join(("pypi" + r"\.org", "pythonhosted" + r"\.org", "deb\\.deb" + "ian"))
    pattern = re.compile(
        rf"{hosts}|--(extra-)?index-url|--trusted-host|--find-links|/simple/?$", re.MULTILINE
    )
    naming = [
        named(path)
        for path in text_files()
        if path != Path(__file__) and pattern.search(path.read_text("utf-8"))
    ]
    assert naming == []


def test_the_lock_holds_nothing_but_comments_pins_and_hashes():
    lines = (HOUSE / "requirements.lock").read_text("utf-8").splitlines()
    fitting = re.compile(r"#|    #|    --hash=sha256:[0-9a-f]{64}( \\)?$|[a-zA-Z0-9._-]+==\S+|$")
    assert [line for line in lines if not fitting.match(line)] == []


def test_every_requirement_of_the_lock_has_hashes():
    lock = (HOUSE / "requirements.lock").read_text("utf-8")
    pinned = re.findall(r"^([a-zA-Z0-9._-]+)==\S+( ;[^\\\n]*)? \\\n    --hash=sha256:", lock, re.M)
    assert len(pinned) == len(re.findall(r"^[a-zA-Z0-9]", lock, re.M))
    assert len(pinned) > 20


def test_the_lock_holds_every_library_the_project_names():
    project = tomllib.loads((HOUSE / "pyproject.toml").read_text("utf-8"))["project"]
    wanted = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    names = {re.split(r"[<>=\[; ]", line)[0].lower() for line in wanted}
    lock = (HOUSE / "requirements.lock").read_text("utf-8")
    assert names <= {name.lower() for name in re.findall(r"^([a-zA-Z0-9._-]+)==", lock, re.M)}


def test_showing_help_imports_no_heavy_library():
    program = (
        "import sys\n"
        "from scheduler.commands import run\n"
        "code = run(['--help'])\n"
        f"print(code, sorted(set({HEAVY!r}) & set(sys.modules)), file=sys.stderr)\n"
    )
    told = subprocess.run(
        [sys.executable, "-c", program], cwd=HOUSE, capture_output=True, text=True, check=True
    )
    assert told.stderr.splitlines()[-1] == "0 []"
    assert "explain" in told.stdout
