"""A morning in two lines."""

from dispatch.report import Call, MorningReport
from dispatch.words import day, plural
from notify.user_text import plain_line
from scheduler.one_morning import Morning

_WORDS = {
    Call.SPRAY: "spray",
    Call.SHORT: "short window",
    Call.LOOK: "walk today",
    Call.WAIT: "wait",
    Call.UNKNOWN: "not known",
}


def farm_line(report: MorningReport) -> str:
    """The counts; they sum to the fields registered."""
    run = report.run
    # The call of a field beside the order is wait; it is told apart here as in the digest.
    counts = {call: len(report.with_call(call)) for call in _WORDS}
    told = ", ".join(f"{words} {counts[call]}" for call, words in _WORDS.items())
    return (
        f"{plain_line(run.farm_name)}, {day(run.local_date)}: {told}, {_beside(report)} "
        f"({plural(run.fields, 'field')})"
    )


def _beside(report: MorningReport) -> str:
    run = report.run
    rare = ((run.frozen, "after a freeze"), (run.picked, "picked"))
    told = [f"sprayed {run.sprayed}", *(f"{words} {count}" for count, words in rare if count)]
    if run.held:
        told.append(f"{run.held} of those to spray held for the harvest")
    return ", ".join(told)


def delivery_line(done: Morning, *, channels: bool) -> list[str]:
    """What was sent to how many."""
    told = done.delivery
    parts = [
        f"{count} {word}"
        for count, word in (
            (told.sent, "sent"),
            (told.failed, "failed"),
            (told.pending, "waiting to be tried again"),
            (told.in_doubt, "in doubt (may have arrived)"),
            (told.held_back, "held back (stopped, no consent, or quiet hours)"),
        )
        if count
    ]
    if not channels:
        return ["Nothing sent: the config has no [mail] and no [sms]."]
    lines = []
    if done.again:
        before = "made" if done.unsent else "sent"
        lines.append(
            f"A morning of this date was {before} before; nobody is sent the same digest twice."
        )
    if parts:
        lines.append(f"Digests: {', '.join(parts)}.")
    elif not done.again:
        lines.append("Digests: none to send.")
    if done.unsent > told.pending + told.failed + told.in_doubt:
        lines.append(f"Not with their readers yet: {plural(done.unsent, 'digest')} of this date.")
    return lines
