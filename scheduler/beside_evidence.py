"""What is known of a field beside the order, for its explanation: its freeze, what is picked."""

from agronomy.after_freeze import WHAT_TO_LOOK_FOR
from dispatch.report import FieldCall
from dispatch.words import LocalClock, day, day_range, temp
from scheduler.section import Section, fact


def after_freeze_section(one: FieldCall, clock: LocalClock) -> Section:
    """The freeze that holds a field, and the look at it."""
    told = one.after_freeze
    if told is None:
        return Section("", ())
    by = "a person" if told.confirmed else "the forecast of that night; nobody has confirmed it"
    lines = [
        fact("froze", clock.moment(told.froze_utc)),
        fact("low at the field", "not told" if told.low_f is None else temp(told.low_f)),
        fact("told by", by),
        fact("look at it", day_range(told.inspect_from, told.inspect_until)),
    ]
    if told.inspected_utc is not None:
        lines.append(fact("looked at", f"{clock.moment(told.inspected_utc)}: {told.found}"))
    lines += ["", WHAT_TO_LOOK_FOR]
    return Section("The freeze", tuple(lines))


def picked_section(one: FieldCall) -> Section:
    """The day of the last pass of a field that is picked."""
    if one.picked_on is None:
        return Section("", ())
    return Section("The harvest", (fact("picked", day(one.picked_on)),))
