"""What is said of a field that a killing freeze has hit."""

from agronomy.after_freeze import WHAT_TO_LOOK_FOR
from agronomy.thresholds import SprayGates
from dispatch.record_figures import AfterFreeze
from dispatch.words import LocalClock, day, day_range, plural, temp
from farm.records import Spray


def frozen_sentences(told: AfterFreeze, gates: SprayGates, clock: LocalClock) -> tuple[str, ...]:
    """How the field froze, and what was found since or when to look."""
    froze = clock.day_name(clock.local(told.froze_utc).date())
    low = "" if told.low_f is None else f" ({temp(told.low_f)} at the field)"
    if told.confirmed:
        first = f"Killing freeze {froze}{low}."
    else:
        first = (
            f"The forecast of that night had {temp(told.low_f or gates.killing_f)} here {froze}, "
            f"killing at {temp(gates.killing_f)}; nobody has confirmed it."
        )
    if told.found == "killed":
        looked = told.inspected_utc and clock.day_name(clock.local(told.inspected_utc).date())
        return (first, f"Found killed {looked}: out of the order for this season.")
    if told.found == "unclear":
        return (first, "The last look was not clear: look again.")
    span = day_range(told.inspect_from, told.inspect_until)
    return (first, f"Spend nothing on it until the effect shows: look at it {span}.")


def look_to_do(told: AfterFreeze) -> str:
    """What a person does next."""
    if told.due_today:
        return f"Look at it today. {WHAT_TO_LOOK_FOR}"
    if told.found == "killed":
        return ""
    if not told.confirmed:
        return "Say what the field had: log the freeze, or that you found it alive."
    return f"Look at it from {day(told.inspect_from)}."


def sprayed_frozen_sentence(told: AfterFreeze, spray: Spray, clock: LocalClock) -> str:
    """That a freeze ended the work of a spray, and how many days it had."""
    worked = max(0, round((told.froze_utc - spray.sprayed_utc).total_seconds() / 86_400))
    froze = clock.day_name(clock.local(told.froze_utc).date())
    told_by = "Killing freeze" if told.confirmed else "The forecast had a killing freeze"
    low = "" if told.low_f is None else f" ({temp(told.low_f)})"
    return f"{told_by} {froze}{low}, {plural(worked, 'day')} after the spray: its work has ended."
