"""Every CSV we write: opened in a spreadsheet, no name or note in it runs as a formula."""

import ast
import csv
import io
import json
from pathlib import Path

import pytest

HOUSE = Path(__file__).resolve().parent.parent.parent
#: OWASP ASVS 5.0 (2026-07-19), 1.2.10.
STARTS = ("=", "+", "-", "@", "\t", "\r", "\0")
BAD = ["=HYPERLINK(0)", "+1+1", "-2+3", "@SUM(A1)", '=cmd|" /C calc"!A0']


@pytest.fixture
def spoilt(farm):
    """The starter farm, whose growers, fields and treatment have formulas for names."""
    (farm.parent / "answers").mkdir()
    text = farm.read_text().replace('source = "nws"', 'source = "folder"\npath = "answers"')
    for name, bad in zip(
        ("Tolliver Farms", "Maddox Land", "Example mix, replace me"), BAD[:3], strict=True
    ):
        text = text.replace(f'name = "{name}"', f"name = {json.dumps(bad)}")
    farm.write_text(text)
    path = farm.parent / "fields.csv"
    rows = list(csv.reader(io.StringIO(path.read_text("utf-8-sig"))))
    column = rows[0].index("name")
    for number, row in enumerate(rows[1:]):
        row[column] = f"{BAD[number % len(BAD)]} {number}"
    with path.open("w", newline="") as file:
        csv.writer(file).writerows(rows)
    return farm


def formulas(text):
    """Cells a spreadsheet would run; a negative number is only a number."""
    rows = list(csv.reader(io.StringIO(text)))
    assert len(rows) > 1
    assert len({len(row) for row in rows}) == 1
    return [cell for row in rows for cell in row if cell.startswith(STARTS) and not _number(cell)]


def _number(cell):
    try:
        float(cell)
    except ValueError:
        return False
    return True


def test_the_ranking_holds_no_formula(warmspell, spoilt, tmp_path):
    warmspell("morning", "--config", spoilt, "--out", tmp_path / "out")
    ranked = warmspell("rank", "--csv", "--config", spoilt).out
    written = (tmp_path / "out" / "morning.csv").read_text()

    for text in (ranked, written):
        assert formulas(text) == []
        assert "'=HYPERLINK(0)" in text


def test_the_list_of_visits_holds_no_formula(warmspell, spoilt):
    with (spoilt.parent / "fields.csv").open() as file:
        first = next(csv.DictReader(file))["id"]
    for note in BAD:
        told = warmspell(
            *("scout", "add", first, "--nacb", "4", "--plants", "12"),
            *("--scout", note, "--note", note, "--config", spoilt),
        )
        assert told.code == 0, told.err
    text = warmspell("scout", "list", "--csv", "--config", spoilt).out

    assert formulas(text) == []
    assert "'@SUM(A1)" in text


def test_whoever_writes_csv_goes_through_the_same_door():
    """A new output that forgets it is found here."""
    writers = [
        path
        for room in ("notify", "storage", "config", "forecasts", "dispatch", "scheduler")
        for path in (HOUSE / room).rglob("*.py")
        if _calls(path) & {"to_csv", "writer", "DictWriter", "to_excel"}
    ]

    assert [path.name for path in writers if "safe_cell" not in _calls(path)] == []
    assert {"outputs.py", "visit_list.py"} <= {path.name for path in writers}


def _calls(path):
    names = (
        node.func
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Call)
    )
    return {
        one.attr if isinstance(one, ast.Attribute) else one.id
        for one in names
        if isinstance(one, ast.Attribute | ast.Name)
    }
