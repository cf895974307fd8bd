"""The numbers of a scouting row from the texts of its cells, within the limits of a visit.

Each reader adds (column, what is wrong) to ``problems`` rather than raise, so that a row tells
everything at once. Nothing is guessed: a comma between numbers could part them or be a decimal.
"""

import math
import re
from collections.abc import Sequence

from farm.records import Visit
from farm.visit_counts import Problems

#: Columns whose limits are those of another: nodes of one plant are nodes, too.
_LIMITS_OF = {"plant_nodes": "nodes_above_cracked_boll"}

#: The 12-step picture scale of cut bolls (S29b).
_STAGES = (1.0, 12.0)

_YES_NO = {"": False, "no": False, "n": False, "false": False, "0": False} | dict.fromkeys(
    ("yes", "y", "true", "1", "x"), True
)


def limits(column: str) -> tuple[float, float]:
    """Least and most a column may hold, as the visit has them."""
    if column == "cut_stages":
        return _STAGES
    low, high = -math.inf, math.inf
    for mark in Visit.model_fields[_LIMITS_OF.get(column, column)].metadata:
        low, high = float(getattr(mark, "ge", low)), float(getattr(mark, "le", high))
    return low, high


def whole(column: str, text: str, problems: Problems) -> int | None:
    """A whole number; None where the cell is empty."""
    if not text:
        return None
    low, high = limits(column)
    number = _whole_within(text, low, high)
    if number is None:
        problems.append((column, f'got "{text}", wanted a whole number {low:g} to {high:g}'))
    return number


def _whole_within(text: str, low: float, high: float) -> int | None:
    # Spreadsheets write whole numbers as 12.0 once a column had a gap.
    if re.fullmatch(r"\d{1,6}(\.0+)?", text) and low <= int(float(text)) <= high:
        return int(float(text))
    return None


def measure(column: str, text: str, decimal_comma: bool, problems: Problems) -> float | None:
    """A number that may have decimals; None where the cell is empty."""
    if not text:
        return None
    low, high = limits(column)
    plain = text.replace(",", ".") if decimal_comma else text
    number = _measure_within(plain, low, high)
    if number is None:
        hint = "; write the decimal with a point" if re.fullmatch(r"\d+,\d+", plain) else ""
        problems.append((column, f'got "{text}", wanted a number {low:g} to {high:g}{hint}'))
    return number


def _measure_within(text: str, low: float, high: float) -> float | None:
    if re.fullmatch(r"-?\d{1,6}(\.\d{1,12})?", text) and low <= float(text) <= high:
        return float(text)
    return None


def wholes(column: str, text: str, problems: Problems) -> tuple[int, ...]:
    """Whole numbers with spaces between them, such as ``11 12 9``."""
    low, high = limits(column)
    found = [_whole_within(part, low, high) for part in text.split()]
    return _all(column, text, found, f"whole numbers {low:g} to {high:g}", problems)


def measures(column: str, text: str, problems: Problems) -> tuple[float, ...]:
    """Numbers with spaces between them, such as ``4 3 5 4``."""
    low, high = limits(column)
    found = [_measure_within(part, low, high) for part in text.split()]
    return _all(column, text, found, f"numbers {low:g} to {high:g}", problems)


def _all(
    column: str, text: str, found: Sequence[float | None], wanted: str, problems: Problems
) -> tuple:
    for part, number in zip(text.split(), found, strict=True):
        if number is None:
            problems.append((column, f'got "{part}", wanted {wanted} with spaces between'))
            return ()
    most = next(
        mark.max_length
        for mark in Visit.model_fields[column].metadata
        if hasattr(mark, "max_length")
    )
    if len(found) > most:
        problems.append((column, f"got {len(found)} numbers, wanted at most {most}"))
        return ()
    return tuple(found)


def yes_no(column: str, text: str, problems: Problems) -> bool:
    """Yes or no; an empty cell is no."""
    if text.casefold() in _YES_NO:
        return _YES_NO[text.casefold()]
    problems.append((column, f'got "{text}", wanted yes or no'))
    return False
