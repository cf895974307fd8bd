"""Names of growers and fields in a morning: whose each is, and which of them a text may hold."""

import re
from collections.abc import Iterable
from functools import lru_cache
from typing import TYPE_CHECKING

from notify.once_a_morning import once_a_morning
from notify.user_text import plain_line

if TYPE_CHECKING:
    from dispatch.report import FieldCall, MorningReport

#: Letters that a search without regard to case takes for an i, though folding does not.
_ALIKE = str.maketrans({"\u0130": "i", "\u0131": "i"})


class KnownNames:
    """The names of one morning, by the growers who have something to do with them."""

    def __init__(self, report: "MorningReport") -> None:
        by_grower: dict[str, set[str]] = {}
        for one in report.fields:
            by_grower.setdefault(one.field.grower_id, set()).update(names_in((one,)))
        self._by_grower = by_grower
        self._telling = frozenset(
            name for names in by_grower.values() for name in names if _tells(name)
        )

    def of_others(self, grower_ids: frozenset[str]) -> frozenset[str]:
        """Names that tell something and that these growers have nothing to do with."""
        own = set[str]().union(*(self._by_grower.get(one, ()) for one in grower_ids))
        return self._telling - own


@once_a_morning
def known_names(report: "MorningReport") -> KnownNames:
    """The names of a whole morning."""
    return KnownNames(report)


def names_in(fields: "Iterable[FieldCall]") -> frozenset[str]:
    """The names of these fields and of their growers."""
    named = (name for one in fields for name in (one.field.name, one.grower_name))
    return frozenset(line for name in named if (line := plain_line(name)))


def possible(text: str, names: frozenset[str]) -> frozenset[str]:
    """The few names that a text may hold as whole words, for a closer look.

    Whatever the case, each word of a name that is there is a word of the text.
    """
    said, by_word = _words(text), _by_word(names)
    near = (name for word in said for name in by_word.get(word, ()))
    return frozenset(name for name in near if _words(name) <= said)


@lru_cache(maxsize=4)
def _by_word(names: frozenset[str]) -> dict[str, list[str]]:
    """Each name by one word of it: its last one, as fields are told apart by their ends."""
    found: dict[str, list[str]] = {}
    for name in names:
        found.setdefault(_last_word(name), []).append(name)
    return found


@lru_cache(maxsize=32768)
def _last_word(name: str) -> str:
    """Names are the same for every reader of a morning, and so are their words."""
    return _in_order(name)[-1]


def _words(text: str) -> frozenset[str]:
    return frozenset(_in_order(text))


def _in_order(text: str) -> list[str]:
    return re.findall(r"\w+", text.translate(_ALIKE).casefold())


def _tells(name: str) -> bool:
    """Whether a name tells anybody anything: a field called "12" would hide every 12."""
    return len(name) > 2 and re.search(r"[^\W\d_]", name) is not None
