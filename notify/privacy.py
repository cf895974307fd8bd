"""Whose fields a person may read about: a grower's person sees no other grower's."""

import re
from functools import lru_cache

from dispatch.report import FieldCall, MorningReport
from farm.people import Person, Role
from notify.known_names import known_names, names_in, possible
from notify.user_text import plain_line


def visible_to(report: MorningReport, person: Person) -> MorningReport:
    """The morning as this person may see it: a grower's person only what is `theirs`."""
    if person.role is not Role.GROWER:
        return report
    return theirs(report, frozenset(person.grower_ids))


def theirs(report: MorningReport, grower_ids: frozenset[str]) -> MorningReport:
    """The morning as some growers may see it.

    Only their fields are kept, places in the order are counted anew so that they do not tell how
    many others there are, and sentences naming another grower or another's field are left out.
    """
    own = report.only(grower_ids)
    hidden = names_of_others(report, grower_ids)
    shown = names_in(own.fields)
    fields, place = [], 0
    for one in own.fields:
        place += one.rank is not None
        fields.append(_without(one, hidden, shown, place if one.rank is not None else None))
    return own.model_copy(update={"fields": tuple(fields)})


def names_of_others(report: MorningReport, grower_ids: frozenset[str]) -> frozenset[str]:
    """Names of growers and fields that these growers have nothing to do with.

    Names of one or two characters, or without a letter, tell nobody anything and are left out:
    a field called "12" would otherwise hide every sentence with a 12 in it.
    """
    return known_names(report).of_others(grower_ids)


def mentions(text: str, hidden: frozenset[str], shown: frozenset[str]) -> bool:
    """Whether the text holds a hidden name, once the names it may hold are taken out."""
    rest = _any_of(shown).sub(" ", plain_line(text))
    # A big farm has thousands of names, and none but the few that are possible is looked for.
    near = possible(rest, hidden)
    return bool(near) and _any_of(near).search(rest) is not None


@lru_cache(maxsize=64)
def _any_of(names: frozenset[str]) -> re.Pattern[str]:
    """Any of the names as whole words, the longest first; without names, nothing matches."""
    if not names:
        return re.compile(r"(?!)")
    longest_first = sorted(names, key=lambda name: (-len(name), name))
    either = "|".join(re.escape(name) for name in longest_first)
    return re.compile(rf"(?<!\w)(?:{either})(?!\w)", re.IGNORECASE)


def _without(
    one: FieldCall, hidden: frozenset[str], shown: frozenset[str], rank: int | None
) -> FieldCall:
    def kept(sentences: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(said for said in sentences if not mentions(said, hidden, shown))

    maturity = one.maturity.model_copy(update={"reasons": kept(one.maturity.reasons)})
    return one.model_copy(
        update={
            "rank": rank,
            "place_if_mature": None,
            "because": kept(one.because),
            "reasons": kept(one.reasons),
            "to_do": "" if mentions(one.to_do, hidden, shown) else one.to_do,
            "maturity": maturity,
        }
    )
