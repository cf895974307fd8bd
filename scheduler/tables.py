"""Tables: drawn on a terminal, plain columns of text when the output goes elsewhere."""

import sys
from collections.abc import Sequence

from notify.user_text import plain_line
from scheduler.speaking import say

Row = Sequence[str]


def show_table(headers: Sequence[str], rows: Sequence[Row], title: str = "") -> None:
    """Write a table to stdout; numbers are set to the right.

    Names in cells were typed by people, so nothing in them reaches the terminal as a command.
    """
    cells = [[plain_line(cell) for cell in row] for row in rows]
    if sys.stdout.isatty():
        _draw(headers, cells, title)
        return
    if title:
        say(title)
    for line in _plain(headers, cells):
        say(line)


def _plain(headers: Sequence[str], cells: Sequence[Row]) -> list[str]:
    lines = [list(headers), *[list(row) for row in cells]]
    right = _right_columns(cells, len(headers))
    widths = [max(len(line[column]) for line in lines) for column in range(len(headers))]
    return [
        "  ".join(
            cell.rjust(width) if to_right else cell.ljust(width)
            for cell, width, to_right in zip(line, widths, right, strict=True)
        ).rstrip()
        for line in lines
    ]


def _right_columns(cells: Sequence[Row], count: int) -> list[bool]:
    return [
        any(row[column] for row in cells)
        and all(not row[column] or _is_number(row[column]) for row in cells)
        for column in range(count)
    ]


def _is_number(text: str) -> bool:
    return text.lstrip("-").replace(".", "", 1).isdigit()


def _draw(headers: Sequence[str], cells: Sequence[Row], title: str) -> None:
    from rich.box import SIMPLE_HEAD
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    table = Table(title=title or None, title_justify="left", box=SIMPLE_HEAD, pad_edge=False)
    for header, to_right in zip(headers, _right_columns(cells, len(headers)), strict=True):
        table.add_column(header, justify="right" if to_right else "left", overflow="fold")
    for row in cells:
        table.add_row(*(Text(cell) for cell in row))
    try:
        Console(file=sys.stdout, highlight=False).print(table)
    except BrokenPipeError:
        say()
