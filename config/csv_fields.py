"""Fields from a CSV file: any common separator and encoding, ids kept as text, no row guessed."""

import csv
import re
from collections.abc import Iterator
from itertools import groupby

from config.field_row import FIELD_KEYS, NUMBER_KEYS, FieldRow, FieldsReading, house_key
from config.masked import quoted
from config.nearest import did_you_mean

COLUMNS = (*FIELD_KEYS, "latitude", "longitude")
REQUIRED_COLUMNS = ("id", "name", "grower_id", "treatment_id", "latitude", "longitude", "acres")
SEPARATORS = ",;\t"
#: How alike a column must be to one of ours to be taken for a slip, 0 to 1.
SLIP_LIKENESS = 0.75


def read_csv_fields(text: str, reading: FieldsReading) -> None:
    """Add a row for every field in ``text``, and a fault for every row that cannot be read.

    A decimal comma is read only where columns are parted by semicolons. Empty cells are None.
    """
    lines = text.splitlines()
    separator = _separator(lines[0] if lines else "")
    rows = _rows(text, separator, reading)
    header = next(rows, None)
    if header is None:
        reading.error(1, "file", f"got no header, wanted {','.join(COLUMNS)}; add it")
        return
    columns = _columns(header[1], reading)
    if columns is None:
        return
    for line, cells in rows:
        if any(cell.strip() for cell in cells):
            _read_row(line, cells, columns, separator, reading)


def _separator(header: str) -> str:
    def known(separator: str) -> int:
        return sum(house_key(cell.strip('" ')) in COLUMNS for cell in header.split(separator))

    return max(SEPARATORS, key=known)


def _rows(text: str, separator: str, reading: FieldsReading) -> Iterator[tuple[int, list[str]]]:
    """Every row that is not empty, with the line it starts on."""
    reader = csv.reader(text.splitlines(keepends=True), delimiter=separator, strict=True)
    line = 1
    while True:
        try:
            cells = next(reader, None)
        except csv.Error as error:
            words = f"got a row that is not CSV ({error}); look for a quote that is not closed"
            reading.error(line, "row", words)
            return
        if cells is None:
            return
        if cells:
            yield line, cells
        line = reader.line_num + 1


def _columns(header: list[str], reading: FieldsReading) -> list[str] | None:
    columns = [house_key(cell) for cell in header]
    before = len(reading.findings.errors)
    for name, same in groupby(sorted(column for column in columns if column)):
        if len(list(same)) > 1:
            reading.error(1, name, "got the column twice, wanted it once; delete one")
    missing = [name for name in REQUIRED_COLUMNS if name not in columns]
    for name in columns:
        near = did_you_mean(name, set(COLUMNS) - set(columns), SLIP_LIKENESS)
        if name and name not in COLUMNS and near:
            reading.error(1, name, f"got an unknown column, wanted a known one; {near}")
        elif name and name not in COLUMNS:
            reading.warn(1, name, "got a column that is not known; it is not read")
    for name in missing:
        reading.error(1, name, f"got no such column, wanted {','.join(COLUMNS)}; add it")
    return None if len(reading.findings.errors) > before else columns


def _read_row(
    line: int, cells: list[str], columns: list[str], separator: str, reading: FieldsReading
) -> None:
    if len(cells) != len(columns):
        words = f"got {len(cells)} cells, wanted {len(columns)} as in the header"
        reading.error(line, "row", f"{words}; look for a missing or a loose separator")
        return
    row = FieldRow(line, "", {})
    for column, cell in zip(columns, cells, strict=True):
        if column in COLUMNS and cell.strip():
            row.cells[column] = cell.strip()
    for column in NUMBER_KEYS:
        if isinstance(text := row.cells.get(column), str):
            try:
                row.cells[column] = number_from(text, separator == ";", column == "acres")
            except ValueError as error:
                reading.fault(row, column, str(error))
    reading.rows.append(row)


def number_from(text: str, decimal_comma: bool = False, is_large: bool = False) -> float:
    """The number ``text`` holds.

    Parameters
    ----------
    text
        As written.
    decimal_comma
        Whether "34,5" is 34.5.
    is_large
        Whether "1,234" might as well be a thousand and more, and is refused.

    Raises
    ------
    ValueError
        Not a plain number.
    """
    comma = r"[.,]" if decimal_comma else r"\."
    could_be_thousands = is_large and re.fullmatch(r"\d{1,3},\d{3}", text)
    if could_be_thousands or not re.fullmatch(rf"[+-]?(\d+({comma}\d*)?|{comma}\d+)", text):
        example = "write 1234 or 1234.5"
        raise ValueError(f"got {quoted(text)}, wanted a plain number in decimals; {example}")
    return float(text.replace(",", "."))
