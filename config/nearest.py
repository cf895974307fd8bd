"""Close matches for a misspelt word."""

import difflib
from collections.abc import Iterable

#: How alike two words must be, 0 to 1, to be offered as a correction.
LIKENESS = 0.6


def did_you_mean(word: str, known: Iterable[str], likeness: float = LIKENESS) -> str:
    """`did you mean "..."?` for the known word closest to ``word``, or an empty text."""
    close = closest(word, known, likeness)
    return f'did you mean "{close}"?' if close else ""


def closest(word: str, known: Iterable[str], likeness: float = LIKENESS) -> str | None:
    """The known word most like ``word``, or None where none is alike."""
    by_plain = {plain(one): one for one in known}
    found = difflib.get_close_matches(plain(word), list(by_plain), n=1, cutoff=likeness)
    return by_plain[found[0]] if found else None


def plain(text: str) -> str:
    """``text`` without case and with every run of white space made one space."""
    return " ".join(text.casefold().split())


def listed(words: Iterable[str], most: int = 6) -> str:
    """The first few words in quotes, with commas."""
    all_words = sorted(words)
    some = ", ".join(f'"{word}"' for word in all_words[:most])
    return f"{some} and {len(all_words) - most} more" if len(all_words) > most else some
