"""The user's own road miles: a CSV file with from, to, miles."""

import csv
import math
from collections.abc import Collection, Iterator
from pathlib import Path

from scheduler.data_error import DataError

COLUMNS = ("from", "to", "miles")

#: What stands in a row for a way that cannot be driven.
NO_WAY = ("", "-")

#: Longest way that is believed [miles].
LONGEST_MI = 2_000.0

Ways = dict[tuple[str, str], float]


def road_miles(path: Path, field_ids: Collection[str], rig_ids: Collection[str]) -> Ways:
    """Miles by the names of two places: a field's id, or ``yard:`` and a rig's.

    A way given in one direction holds for both. Miles left empty, or ``-``, say that there is
    no way.

    Raises
    ------
    DataError
        The file cannot be read, or a row of it, each named by its line.
    """
    try:
        text = path.read_text("utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise DataError(
            [
                f"{path}: cannot be read ({type(error).__name__}), wanted a CSV file; "
                "see [routes] miles"
            ]
        ) from None
    rows = csv.reader(text.splitlines())
    header = [cell.strip().lower() for cell in next(rows, [])]
    if header != list(COLUMNS):
        raise DataError([f"{path}:1: columns: got {header}, wanted from, to, miles; rename them"])
    known = {*field_ids, *(f"yard:{one}" for one in rig_ids)}
    given: Ways = {}
    faults: list[str] = []
    for number, row in enumerate(rows, 2):
        if not any(cell.strip() for cell in row):
            continue
        words = list(_faults(row, known))
        faults += [f"{path}:{number}: {one}" for one in words]
        if not words:
            start, end, miles = (cell.strip() for cell in row)
            given[start, end] = math.inf if miles in NO_WAY else float(miles)
    if faults:
        raise DataError(faults)
    return {(end, start): miles for (start, end), miles in given.items()} | given


def _faults(row: list[str], known: Collection[str]) -> Iterator[str]:
    if len(row) != len(COLUMNS):
        yield f"got {len(row)} cells, wanted from, to, miles"
        return
    start, end, miles = (cell.strip() for cell in row)
    for name, place in (("from", start), ("to", end)):
        if place not in known:
            yield f'{name}: got "{place[:60]}", wanted the id of a field, or yard:ID of a rig'
    if miles in NO_WAY:
        return
    try:
        told = float(miles)
    except ValueError:
        told = math.nan
    if not 0 <= told <= LONGEST_MI:
        yield (f'miles: got "{miles[:20]}", wanted 0 to {LONGEST_MI:g}, or - where there is no way')
