"""Writes docs/reliability.md: every fault, what happens, and the tests that prove it.

    python -m scripts.write_reliability_page

The tests are found by collecting them: a mark ``fault("M03")`` on a test, a name such as
``test_f01_...``, or the id of a case that is a row of the table, such as "F10-body". A row that
no test names says so.
"""

import csv
import re
import sys
from collections import defaultdict
from contextlib import redirect_stdout
from io import StringIO
from pathlib import Path

import pytest

HOUSE = Path(__file__).resolve().parent.parent
PAGE = HOUSE / "docs" / "reliability.md"
FIGURES = HOUSE / "docs" / "reliability_figures.csv"
ROWS = Path(__file__).resolve().parent / "fault_rows.csv"

#: Cases named by a row. Other letters stand for sources in the ids of other tests.
_CASE = re.compile(r"([FM]\d\d)(?:-.*)?")
#: Tests named by a row, such as ``test_f01_...``.
_NAME = re.compile(r"test_([fsdmti]\d\d)_\w+")
_NAMES_A_ROW = re.compile(r'mark\.fault\(|id="[FM]\d\d|def test_[fsdmti]\d\d_')
#: Tests named for each row; more are counted.
_SHOWN = 3

_TABLES = {
    "F": "Forecasts",
    "S": "Clock, worker, process",
    "D": "Database",
    "M": "Mail",
    "T": "Text messages",
    "I": "Files and entries",
}

_HEAD = """# What goes wrong, and what happens then

Made by `python -m scripts.write_reliability_page`; do not edit. The rows of the tables are proved
by the tests named beside them, which were collected when this page was written; a row without a
test says so.

## Killed, failed, and many at once

Figures of the long form on two shared cores with other work going on:

    WARMSPELL_LONG=1 pytest tests/reliability -q

| test | figure |
|---|---|
{figures}

- A *point* lies before and after each commit, each request, each line to the mail server and each
  write to a file. The morning is failed, or its process ended by SIGKILL, at the first point, then
  at the second, until none is left; after each, it is started again and everything must hold: one
  digest for everybody, repeats only where flagged and the same to the byte, messages and the plan
  they tell of kept together, the database whole.
- Nobody can promise that a mail is delivered exactly once: when the answer to its last dot is lost,
  nobody knows whether it was taken. Such a mail is sent again as it was, under the same Message-ID,
  and flagged in the outbox.
- Killing a process does not show what a power cut does; the disk must keep what it says it keeps.
- One machine is one machine: somebody else must watch that it lives (`[watch]`).
- A carrier or a filter can still drop what was handed over, and a fresh forecast can be wrong.
"""


class Found:
    """Collects which tests name which row."""

    def __init__(self) -> None:
        self.tests: dict[str, set[str]] = defaultdict(set)

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Look at every test that was collected."""
        for item in items:
            if item.get_closest_marker("skip") is not None:
                continue
            name = item.nodeid.partition("[")[0]
            for mark in item.iter_markers("fault"):
                for row in mark.args:
                    self.tests[row].add(name)
            named = _NAME.match(item.nodeid.rpartition("::")[2])
            if named is not None:
                self.tests[named[1].upper()].add(name)
            call = getattr(item, "callspec", None)
            case = _CASE.fullmatch(call.id) if call is not None else None
            if case is not None:
                self.tests[case[1]].add(name)


def collected() -> dict[str, set[str]]:
    """The tests that name each row, by row."""
    found = Found()
    files = [
        str(path.relative_to(HOUSE))
        for path in sorted((HOUSE / "tests").rglob("test_*.py"))
        if _NAMES_A_ROW.search(path.read_text(encoding="utf-8"))
    ]
    options = ["--collect-only", "-qq", "-p", "no:cacheprovider"]
    with redirect_stdout(StringIO()) as said:
        status = pytest.main([*options, *files], plugins=[found])
    if status != pytest.ExitCode.OK:
        raise SystemExit(f"the tests cannot be collected:\n{said.getvalue()[-2000:]}")
    return dict(found.tests)


def page(tests: dict[str, set[str]]) -> str:
    """The page for the tests found."""
    with ROWS.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    strangers = set(tests) - {row["id"] for row in rows}
    if strangers:
        raise SystemExit(f"tests name rows that are not in {ROWS.name}: {sorted(strangers)}")
    proved = sum(row["id"] in tests for row in rows)
    parts = [
        _HEAD.format(figures=_figures()),
        f"## The faults\n\n{proved} of {len(rows)} are proved by a test.\n",
    ]
    for letter, title in _TABLES.items():
        lines = ["| | fault | what happens | tests |", "|---|---|---|---|"]
        lines += [_line(row, tests) for row in rows if row["id"].startswith(letter)]
        parts.append(f"### {title}\n\n" + "\n".join(lines) + "\n")
    return "\n".join(parts)


def _line(row: dict[str, str], tests: dict[str, set[str]]) -> str:
    named = sorted(tests.get(row["id"], ()))
    told = "<br>".join(f"`{name.removeprefix('tests/')}`" for name in named[:_SHOWN])
    more = f"<br>and {len(named) - _SHOWN} more" if len(named) > _SHOWN else ""
    return f"| {row['id']} | {row['fault']} | {row['outcome']} | {told or '*no test*'}{more} |"


def _figures() -> str:
    if not FIGURES.exists():
        return "| | not run yet |"
    with FIGURES.open(encoding="utf-8", newline="") as stream:
        told = sorted(csv.reader(stream))
    return "\n".join(f"| `{name}` | {figure} |" for name, figure in told)


def main() -> None:
    """Write the page."""
    PAGE.write_text(page(collected()), encoding="utf-8")
    print(PAGE.relative_to(HOUSE), file=sys.stderr)


if __name__ == "__main__":
    main()
