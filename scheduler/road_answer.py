"""One answer of a road table: metres and seconds between places, read with mistrust.

The form is that of the table service of OSRM, an open-source router: ``code``, ``distances`` [m],
``durations`` [s], null where its map has no way, and under ``sources`` how far each place lies
from the road it was put on [m].
"""

import json
import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


class RoadTableError(Exception):
    """An answer that cannot be used, in plain words; ``final`` where asking on is of no use."""

    def __init__(self, words: str, *, final: bool = False) -> None:
        super().__init__(words)
        self.words = words
        self.final = final


@dataclass(frozen=True, eq=False)
class RoadAnswer:
    """Metres and seconds from row to column, NaN where not told; metres from place to road."""

    metres: Floats
    seconds: Floats
    off_road_m: Floats


def read_road_answer(body: bytes, count: int) -> RoadAnswer:
    """What a table of ``count`` places tells.

    Raises
    ------
    RoadTableError
        It is no table, not of so many places, or says that it cannot answer.
    """
    try:
        told = json.loads(body)
    except (ValueError, RecursionError):
        raise RoadTableError("its answer is not JSON") from None
    if not isinstance(told, dict):
        raise RoadTableError("its answer is no table")
    code = told.get("code")
    if code != "Ok":
        raise _refused(code)
    metres = _square(told.get("distances"), count)
    if metres is None:
        raise RoadTableError(f"it tells no distances between {count} places", final=True)
    seconds = _square(told.get("durations"), count)
    if seconds is None:
        seconds = np.full((count, count), math.nan)
    return RoadAnswer(metres, seconds, _off_road(told.get("sources"), count))


def _refused(code: object) -> RoadTableError:
    if code == "TooBig":
        return RoadTableError(
            "it takes fewer places at once; set [routes] table_places lower", final=True
        )
    shown = code[:30] if isinstance(code, str) and code.isalnum() else "no reason"
    return RoadTableError(f"it refused ({shown})")


def _square(rows: object, count: int) -> Floats | None:
    """A table of numbers, NaN for what is none; None where its shape is another."""
    if not isinstance(rows, list) or len(rows) != count:
        return None
    if any(not isinstance(row, list) or len(row) != count for row in rows):
        return None
    return np.array([[_number(cell) for cell in row] for row in rows], float).reshape(count, count)


def _off_road(places: object, count: int) -> Floats:
    """Metres from each place to its road; NaN where that is not told."""
    if not isinstance(places, list) or len(places) != count:
        return np.full(count, math.nan)
    told = [one.get("distance") if isinstance(one, dict) else None for one in places]
    return np.array([_number(one) for one in told], float)


def _number(cell: Any) -> float:
    if isinstance(cell, bool) or not isinstance(cell, int | float):
        return math.nan
    return float(cell) if 0 <= cell < math.inf else math.nan
