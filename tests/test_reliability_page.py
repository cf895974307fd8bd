"""docs/reliability.md claims nothing that is not there."""

import csv
import re
from pathlib import Path

HOUSE = Path(__file__).resolve().parent.parent
PAGE = (HOUSE / "docs" / "reliability.md").read_text(encoding="utf-8")
ROW = re.compile(r"^\| ([FSDMTI]\d\d) \| .* \| (.*) \|$", re.M)


def test_every_fault_has_a_row_and_no_other_has():
    with (HOUSE / "scripts" / "fault_rows.csv").open(encoding="utf-8", newline="") as stream:
        wanted = [row["id"] for row in csv.DictReader(stream)]
    assert len(wanted) == len(set(wanted)) == 130
    assert sorted(row for row, _ in ROW.findall(PAGE)) == sorted(wanted)


def test_every_test_that_is_named_is_there_and_names_its_row():
    missing = []
    for row, told in ROW.findall(PAGE):
        for path, name in re.findall(r"`([\w/]+\.py)::(\w+)`", told):
            source = (HOUSE / "tests" / path).read_text(encoding="utf-8")
            if f"def {name}(" not in source or row.lower() not in source.lower():
                missing.append(f"{row}: {path}::{name}")
    assert missing == []


def test_the_count_is_that_of_the_rows_with_a_test():
    told = re.search(r"(\d+) of 130 are proved by a test", PAGE)
    assert told is not None
    assert int(told[1]) == sum("no test" not in named for _, named in ROW.findall(PAGE))
