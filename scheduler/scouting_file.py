"""Scouting visits from a CSV file as spreadsheets and phones really write them.

Text stays text: field ``007`` is not 7 and field ``NA`` is not missing. Columns are told by
their header, rows of another length than the header are refused rather than shifted.
"""

import csv
import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from difflib import get_close_matches
from types import MappingProxyType
from uuid import UUID

from farm.field import Field
from farm.records import Visit
from scheduler.data_error import DataError
from scheduler.scouting_row import COLUMNS, RowError, visit_from_texts

#: Largest file read [bytes], and most rows; more is not a season's scouting but a mistake.
LARGEST_BYTES = 5_000_000
MOST_ROWS = 50_000

REQUIRED = ("field_id", "observed")


@dataclass(frozen=True)
class RejectedRow:
    """A row that was refused: its line, the row as it stood, and every problem in one line each."""

    line: int
    row: str
    problems: tuple[str, ...]


@dataclass(frozen=True)
class ScoutingFile:
    """What a file held. ``notices`` tell what was taken for granted while reading it."""

    visits: tuple[Visit, ...]
    rejected: tuple[RejectedRow, ...]
    notices: tuple[str, ...]


def read_scouting(
    content: bytes,
    name: str,
    fields: Mapping[str, Field],
    now: datetime,
    known: Mapping[UUID, Visit] = MappingProxyType({}),
) -> ScoutingFile:
    """The visits in a CSV file.

    Parameters
    ----------
    content
        The file's bytes; UTF-8 with or without mark, UTF-16 with mark, else Windows-1252.
    name
        What the file is called in messages.
    fields
        Registered fields by id.
    now
        Aware time, against which visits of the future are refused.
    known
        Visits kept already, by uuid; the same one again is let through, another is refused.

    Raises
    ------
    DataError
        When nothing of the file can be used: no header, unknown or missing columns, not text.
    """
    text, notices = _decoded(content, name)
    text, separator = _separator(text, name)
    rows = _rows(text, separator, name)
    line, header = next(rows, (1, []))
    columns = _columns(header, f"{name}:{line}")
    visits: list[Visit] = []
    rejected: list[RejectedRow] = []
    seen: dict[UUID, tuple[int, Visit]] = {}
    for line, cells in rows:
        try:
            visit = _visit(columns, cells, fields, now, decimal_comma=separator != ",")
            _refuse_other(visit, known)
            if _new(visit, line, seen):
                visits.append(visit)
        except RowError as refusal:
            problems = tuple(
                f"{name}:{line}: {column}: {told}" for column, told in refusal.problems
            )
            rejected.append(RejectedRow(line, separator.join(cells), problems))
    if not visits and not rejected:
        raise DataError([f"{name}: got a header and no rows, wanted one row for each visit"])
    return ScoutingFile(tuple(visits), tuple(rejected), notices)


def _decoded(content: bytes, name: str) -> tuple[str, tuple[str, ...]]:
    if len(content) > LARGEST_BYTES:
        raise DataError(
            [f"{name}: got {len(content)} bytes, wanted at most {LARGEST_BYTES}; split the file"]
        )
    notices: tuple[str, ...] = ()
    marked_utf_16 = content.startswith((b"\xff\xfe", b"\xfe\xff"))
    try:
        text = content.decode("utf-16" if marked_utf_16 else "utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("cp1252", errors="replace")
        notices = (f"{name}: read as Windows-1252 text, since it is not UTF-8; check the names",)
    if "\x00" in text:
        raise DataError([f"{name}: got a binary file, wanted CSV text; save it as CSV"])
    if not text.strip():
        raise DataError([f"{name}: got an empty file, wanted a header line and one row a visit"])
    return text, notices


def _separator(text: str, name: str) -> tuple[str, str]:
    first, _, rest = text.partition("\n")
    # Spreadsheets can be told their separator by a line of its own; it still counts as a line.
    if first.strip().lower().startswith("sep=") and len(first.strip()) == len("sep=;"):
        return "\n" + rest, first.strip()[-1]
    header = next(line for line in text.splitlines() if line.strip())
    counted = {mark: header.count(mark) for mark in (",", ";", "\t")}
    best = max(counted, key=lambda mark: counted[mark])
    if counted[best] == 0:
        raise DataError(
            [
                f'{name}:1: got "{header.strip()[:60]}", wanted a header such as '
                "field_id,observed,nodes_above_cracked_boll,percent_open"
            ]
        )
    return text, best


def _rows(text: str, separator: str, name: str) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=None), delimiter=separator, strict=True)
    line, count = 1, 0
    while True:
        try:
            cells = next(reader, None)
        except csv.Error as broken:
            raise DataError(
                [f"{name}:{line}: got a broken row ({broken}), wanted each quote closed"]
            ) from None
        if cells is None:
            return
        if any(cell.strip() for cell in cells):
            count += 1
            yield line, cells
        if count > MOST_ROWS:
            raise DataError([f"{name}: got more than {MOST_ROWS} rows; split the file"])
        line = reader.line_num + 1


def _columns(header: list[str], where: str) -> list[str]:
    columns = [_column_name(cell) for cell in header]
    while columns and not columns[-1]:
        columns.pop()
    problems = []
    for column in dict.fromkeys(columns):
        if column not in COLUMNS:
            close = get_close_matches(column, COLUMNS, n=1, cutoff=0.5)
            hint = (
                f'did you mean "{close[0]}"?' if close else f"wanted some of {', '.join(COLUMNS)}"
            )
            problems.append(f'{where}: got column "{column}", which is not known; {hint}')
        elif columns.count(column) > 1:
            problems.append(f'{where}: got column "{column}" twice, wanted it once; remove one')
    problems += [
        f'{where}: got no column "{column}", wanted it for every visit; add it'
        for column in REQUIRED
        if column not in columns
    ]
    if problems:
        raise DataError(problems)
    return columns


def _column_name(cell: str) -> str:
    return "_".join(cell.strip().lower().replace("-", " ").replace("_", " ").split())


def _visit(
    columns: list[str],
    cells: list[str],
    fields: Mapping[str, Field],
    now: datetime,
    *,
    decimal_comma: bool,
) -> Visit:
    while len(cells) > len(columns) and not cells[-1].strip():
        cells = cells[:-1]
    if len(cells) != len(columns):
        told = f"got {len(cells)} cells, wanted {len(columns)} as in the header; check for a loose "
        raise RowError([("row", told + "separator or quote")])
    texts = dict(zip(columns, cells, strict=True))
    return visit_from_texts(texts, fields, now, decimal_comma=decimal_comma)


def _refuse_other(visit: Visit, known: Mapping[UUID, Visit]) -> None:
    if known.get(visit.uuid, visit) != visit:
        told = f'got "{visit.uuid}", under which another visit is kept'
        raise RowError([("uuid", f"{told}; give a correction its own uuid, or none")])


def _new(visit: Visit, line: int, seen: dict[UUID, tuple[int, Visit]]) -> bool:
    first_line, first = seen.setdefault(visit.uuid, (line, visit))
    if first != visit:
        told = f'got "{visit.uuid}" again, which line {first_line} has for another visit'
        raise RowError([("uuid", f"{told}, wanted each visit its own")])
    return first_line == line
