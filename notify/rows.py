"""Fields that need a person before anything else: not known, and to walk."""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable
from itertools import islice

from dispatch.report import FieldCall
from dispatch.words import amount, plural
from notify.maturity_words import maturity_sentence, scouting_sentences
from notify.page import Block, ClockOf, Row
from notify.reasons import sentences, telling_reasons
from notify.role_detail import Detail
from notify.user_text import plain_line, with_stop

#: Heading of the fields of a list that are told by name, where their order matters.
FURTHER = "After these, in order"
_GO_BY = "Go by the field and the sky yourself."

KNIFE = "Cut with a sharp knife, away from your hand and body; closed shoes; fold it to walk on."


def unknown_block(
    fields: tuple[FieldCall, ...], clock_of: ClockOf, detail: Detail, worded: int
) -> Block | None:
    """Fields without a call, each with why and what to do; those with the same words together.

    Of more than ``worded`` such rows the rest is told in short, by what to do.
    """
    if not fields:
        return None
    alike: dict[tuple[str, ...], list[FieldCall]] = defaultdict(list)
    for one in fields:
        alike[_why_unknown(one, clock_of, detail)].append(one)
    rows = tuple(
        Row(", ".join(name_of(one) for one in group), size_of(group, detail), lines)
        for lines, group in islice(alike.items(), worded)
    )
    rest = [one for group in islice(alike.values(), worded, None) for one in group]
    rows += in_short(rest, lambda one: with_stop(one.to_do) or _GO_BY)
    return Block(f"NOT KNOWN ({len(fields)})", rows)


def walk_block(
    fields: tuple[FieldCall, ...], clock_of: ClockOf, detail: Detail, worded: int
) -> Block | None:
    """Fields to walk today, past ``worded`` in short. What is to be done on all is said once."""
    if not fields:
        return None
    to_do = {with_stop(one.to_do) for one in fields}
    shared = to_do.pop() if len(to_do) == 1 else ""
    rows = tuple(
        Row(name_of(one), size_of([one], detail), _why_walk(one, clock_of, detail, shared))
        for one in fields[:worded]
    )
    rows += in_short(fields[worded:], lambda one: FURTHER)
    intro = tuple(line for line in (shared, KNIFE) if line)
    return Block(f"WALK TODAY ({len(fields)})", rows, intro)


def in_short(fields: Iterable[FieldCall], heading: Callable[[FieldCall], str]) -> tuple[Row, ...]:
    """Fields by name, those under one heading together, in their order.

    Fields of one name are told apart by whose they are.
    """
    some = tuple(fields)
    named = Counter(name_of(one) for one in some)
    together: dict[str, list[str]] = defaultdict(list)
    for one in some:
        whose = f" ({plain_line(one.grower_name)})" if named[name_of(one)] > 1 else ""
        together[heading(one)].append(f"{name_of(one)}{whose}")
    return tuple(
        Row(said, plural(len(names), "field"), (", ".join(names),))
        for said, names in together.items()
    )


def name_of(one: FieldCall) -> str:
    """A field's name on one line."""
    return plain_line(one.field.name) or "field without a name"


def _why_unknown(one: FieldCall, clock_of: ClockOf, detail: Detail) -> tuple[str, ...]:
    why = telling_reasons(one)[: detail.reasons] or sentences((one.forecast.problem,))
    lines = [*(why or ("Something that decides the call is not known.",))]
    lines.append(with_stop(one.to_do) or _GO_BY)
    if detail.scouting:
        lines += scouting_sentences(one, clock_of(one))
    elif one.maturity.state != "unknown":
        lines.append(maturity_sentence(one.maturity, clock_of(one)))
    return sentences(tuple(lines))


def _why_walk(one: FieldCall, clock_of: ClockOf, detail: Detail, shared: str) -> tuple[str, ...]:
    lines = [] if shared else [one.to_do or "Walk it and cut the top bolls."]
    lines += telling_reasons(one)[: detail.reasons]
    if detail.scouting:
        whole = scouting_sentences(one, clock_of(one))
        lines += whole[1:] if one.maturity.reasons else whole
    else:
        lines += one.maturity.reasons or (maturity_sentence(one.maturity, clock_of(one)),)
    return sentences(tuple(lines))


def size_of(group: list[FieldCall], detail: Detail) -> str:
    """Acres of some fields together, and whose they are."""
    acres = f"{amount(sum(one.field.acres for one in group))} ac"
    growers = dict.fromkeys(plain_line(one.grower_name) for one in group if one.grower_name)
    return ", ".join([acres, *growers]) if detail.names_grower else acres
