"""Fields beside the order: held for the harvest, hit by a freeze, picked."""

from agronomy.after_freeze import WHAT_TO_LOOK_FOR
from dispatch.report import AfterFreeze, FieldCall, HarvestRoom, MorningReport
from dispatch.words import amount, day_range
from notify.page import Block, Row
from notify.reasons import sentences, telling_reasons
from notify.role_detail import Detail
from notify.rows import FURTHER, KNIFE, in_short, name_of, size_of


def held_block(report: MorningReport, detail: Detail, worded: int) -> Block | None:
    """Fields of the order that the harvest has no room for, with their place."""
    fields, room = report.held(), report.run.harvest
    if not fields or room is None:
        return None
    intro = ("The harvest has no room for these yet; they come next, as it picks:",)
    rows = tuple(
        Row(f"{one.rank}  {name_of(one)}", size_of([one], detail), _effect(one))
        for one in fields[:worded]
    )
    rows += in_short(fields[worded:], lambda one: FURTHER)
    return Block(f"HELD FOR THE HARVEST ({len(fields)})", rows, intro)


def harvest_words(room: HarvestRoom | None) -> str:
    """What is sprayed and not picked, and the room left; empty where no pace was entered."""
    if room is None:
        return ""
    left = f"room for {amount(room.room_acres)} ac more" if room.room_acres else "no room for more"
    return (
        f"Harvest: {amount(room.backlog_acres)} ac sprayed and not picked; at "
        f"{amount(room.acres_a_day)} ac a day, {left} within {amount(room.within_days)} days."
    )


def frozen_block(fields: tuple[FieldCall, ...], worded: int) -> Block | None:
    """Fields to look at after a killing freeze, those due today first, past ``worded`` in short."""
    told = [(one, one.after_freeze) for one in fields if one.after_freeze is not None]
    if not told:
        return None
    told.sort(key=lambda pair: (not pair[1].due_today, pair[1].found == "killed"))
    rows = tuple(
        Row(name_of(one), freeze_look(after), freeze_lines(one, after))
        for one, after in told[:worded]
    )
    marks = {one.field.id: freeze_look(after) for one, after in told}
    rows += in_short((one for one, _ in told[worded:]), lambda one: marks[one.field.id])
    due = any(after.due_today for _, after in told)
    return Block(f"AFTER THE FREEZE ({len(told)})", rows, (WHAT_TO_LOOK_FOR, KNIFE) if due else ())


def picked_block(fields: tuple[FieldCall, ...]) -> Block | None:
    """Fields that are picked, by name."""
    if not fields:
        return None
    names = ", ".join(name_of(one) for one in fields)
    return Block(f"PICKED ({len(fields)})", (Row(names, "", ()),))


def _effect(one: FieldCall) -> tuple[str, ...]:
    if one.effect_pct is None or one.back_of_line_pct is None:
        return ()
    return (f"Effect {one.effect_pct:.0f} of 100 now, {one.back_of_line_pct:.0f} later.",)


def freeze_look(after: AfterFreeze) -> str:
    """When to look at a field after a freeze, or what was found."""
    if after.found == "killed":
        return "killed"
    if after.due_today:
        return "look at it today"
    if after.found == "unclear":
        return "look at it again"
    if not after.confirmed:
        return "not confirmed; hold the spray"
    return f"look at it {day_range(after.inspect_from, after.inspect_until)}"


def freeze_lines(one: FieldCall, after: AfterFreeze) -> tuple[str, ...]:
    """What a freeze did to a field as far as is known, and what to do."""
    to_do = () if after.due_today else (one.to_do,)
    return sentences((*telling_reasons(one), *to_do))
