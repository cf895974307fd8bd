"""Fields that need a person before anything else: not known, and to walk."""

from collections import defaultdict

from dispatch.report import FieldCall
from dispatch.words import amount
from notify.maturity_words import maturity_sentence, scouting_sentences
from notify.page import Block, ClockOf, Row
from notify.reasons import sentences, telling_reasons
from notify.role_detail import Detail
from notify.user_text import plain_line, with_stop

KNIFE = "Cut with a sharp knife, away from your hand and body; closed shoes; fold it to walk on."


def unknown_block(fields: tuple[FieldCall, ...], clock_of: ClockOf, detail: Detail) -> Block | None:
    """Fields without a call, each with why and what to do; those with the same words together."""
    if not fields:
        return None
    alike: dict[tuple[str, ...], list[FieldCall]] = defaultdict(list)
    for one in fields:
        alike[_why_unknown(one, clock_of, detail)].append(one)
    rows = tuple(
        Row(", ".join(name_of(one) for one in group), size_of(group, detail), lines)
        for lines, group in alike.items()
    )
    return Block(f"NOT KNOWN ({len(fields)})", rows)


def walk_block(fields: tuple[FieldCall, ...], clock_of: ClockOf, detail: Detail) -> Block | None:
    """Fields to walk today. What is to be done on all of them is said once."""
    if not fields:
        return None
    to_do = {with_stop(one.to_do) for one in fields}
    shared = to_do.pop() if len(to_do) == 1 else ""
    rows = tuple(
        Row(name_of(one), size_of([one], detail), _why_walk(one, clock_of, detail, shared))
        for one in fields
    )
    intro = tuple(line for line in (shared, KNIFE) if line)
    return Block(f"WALK TODAY ({len(rows)})", rows, intro)


def name_of(one: FieldCall) -> str:
    """A field's name on one line."""
    return plain_line(one.field.name) or "field without a name"


def _why_unknown(one: FieldCall, clock_of: ClockOf, detail: Detail) -> tuple[str, ...]:
    why = telling_reasons(one)[: detail.reasons] or sentences((one.forecast.problem,))
    lines = [*(why or ("Something that decides the call is not known.",))]
    lines.append(with_stop(one.to_do) or "Go by the field and the sky yourself.")
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
