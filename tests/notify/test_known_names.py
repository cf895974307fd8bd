"""Names of others are found as a plain search for each of them would, and looked up only once."""

import gc
import re
import weakref
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from notify.known_names import KnownNames
from notify.once_a_morning import once_a_morning
from notify.privacy import mentions
from notify.user_text import plain_line

#: Words that share ends, cases and letters which a search without regard to case takes for one.
WORDS = st.sampled_from(
    (
        *("Field", "field", "12", "120", "North", "#4", "ix", "\u0131x", "Ix", "\u0130x", "s"),
        *("K", "\u212a", "Stra\u00dfe", "STRASSE", "\u03c3\u03b1", "\u03c2\u03b1", "\u017f"),
        *("O'Neil", "a_b", "(old)"),
    )
)
NAMES = st.lists(WORDS, min_size=1, max_size=3).map(" ".join)
TEXTS = st.lists(st.one_of(WORDS, st.sampled_from([",", ".", "-"])), max_size=12).map(" ".join)


def plainly(text: str, names: set[str]) -> bool:
    """Each name by itself, as whole words, whatever the case."""
    return any(
        re.search(rf"(?<!\w){re.escape(name)}(?!\w)", plain_line(text), re.IGNORECASE)
        for name in names
    )


@given(TEXTS, st.sets(NAMES, max_size=6))
def test_a_name_is_found_just_where_a_plain_search_finds_it(text, names):
    telling = {name for name in names if re.search(r"\w", name)}
    assert mentions(text, frozenset(telling), frozenset()) == plainly(text, telling)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Spray Field 12 first", True),
        ("spray FIELD 12.", True),
        ("Spray Field 120 first", False),
        ("12 of the Field", False),
        ("Field, 12", False),
    ],
)
def test_a_name_counts_as_whole_words_in_its_order(text, found):
    assert mentions(text, frozenset({"Field 12"}), frozenset()) is found


def test_a_name_that_may_be_shown_hides_nothing_behind_it():
    assert not mentions("Field 12 North", frozenset({"Field 12"}), frozenset({"Field 12 North"}))
    assert mentions("Field 12 South", frozenset({"Field 12"}), frozenset({"Field 12 North"}))


def field(name: str, grower: str, grower_name: str) -> SimpleNamespace:
    return SimpleNamespace(
        field=SimpleNamespace(name=name, grower_id=grower), grower_name=grower_name
    )


def test_a_name_that_is_also_ones_own_is_nobody_elses():
    report = SimpleNamespace(
        fields=(
            field("Home Place", "ann", "Ann Vole"),
            field("Home Place", "bea", "Bea Stoat"),
            field("12", "bea", "Bea Stoat"),
            field("Mill", "cai", "Cai Hare"),
        )
    )
    known = KnownNames(report)  # type: ignore[arg-type]
    assert known.of_others(frozenset({"ann"})) == {"Bea Stoat", "Mill", "Cai Hare"}
    assert known.of_others(frozenset({"ann", "cai"})) == {"Bea Stoat"}


class Morning:
    """Stands for a report: equal ones are still two."""

    def __eq__(self, other: object) -> bool:
        return True

    __hash__ = object.__hash__


def test_what_follows_from_a_morning_is_worked_out_once_for_each():
    asked: list[object] = []

    def count(report: object) -> int:
        asked.append(report)
        return len(asked)

    once, one, other = once_a_morning(count), Morning(), Morning()
    assert [once(told) for told in (one, one, other, other)] == [1, 1, 2, 2]  # type: ignore[arg-type]


def test_a_morning_is_not_kept_alive_by_what_was_found():
    once = once_a_morning(lambda report: 1)
    one = Morning()
    once(one)  # type: ignore[arg-type]
    gone = weakref.ref(one)
    del one
    gc.collect()
    assert gone() is None
