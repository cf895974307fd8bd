"""Long lists in questions, cut to what a database takes at once."""

from collections.abc import Iterator, Sequence
from typing import TypeVar

One = TypeVar("One")

#: Most values in one question, each of up to four parts: 32,766 parts is the least that a database
#: we know takes (SQLite, "Limits", 9).
MOST_VALUES = 8_000


def in_chunks(values: Sequence[One]) -> Iterator[Sequence[One]]:
    """The values in order, at most `MOST_VALUES` at a time."""
    for first in range(0, len(values), MOST_VALUES):
        yield values[first : first + MOST_VALUES]
