"""What the last visit to a field says, in a sentence."""

from dispatch.report import FieldCall, MaturityFigures
from dispatch.words import LocalClock, amount, day, day_range, plural
from notify.reasons import sentences
from notify.user_text import plain_line

_STATES = {
    "mature": "Mature",
    "nearly": "Nearly mature",
    "not_yet": "Not mature yet",
    "unknown": "Maturity not known",
}


def maturity_counts(figures: MaturityFigures, clock: LocalClock) -> str:
    """The counts with their day: ``NACB 3.2 on 12 plants, 64 % open, Sun``; "" where none."""
    plants = figures.plants_counted
    on_plants = f" on {plural(plants, 'plant')}" if plants is not None else ""
    parts = []
    if figures.nodes_above_cracked_boll is not None:
        parts.append(f"NACB {amount(figures.nodes_above_cracked_boll)}{on_plants}")
    if figures.percent_open is not None:
        parts.append(f"{figures.percent_open:.0f} % open{'' if parts else on_plants}")
    if figures.cut_test is not None:
        parts.append(f"cut bolls {'mature' if figures.cut_test == 'passed' else 'not mature'}")
    if figures.visited_utc is not None:
        parts.append(clock.day_name(clock.local(figures.visited_utc).date()))
    return ", ".join(parts)


def maturity_sentence(figures: MaturityFigures, clock: LocalClock) -> str:
    """State and counts: ``Mature: NACB 3.2 on 12 plants, 64 % open, Sun.``"""
    counts = maturity_counts(figures, clock)
    return f"{_STATES[figures.state]}{': ' if counts else ''}{counts}."


def scouting_sentences(
    one: FieldCall, clock: LocalClock, *, said_already: bool = False
) -> tuple[str, ...]:
    """The whole of a visit, for the consultant: counts against limits, who, what comes next.

    ``said_already`` leaves out the state and the day it is expected mature.
    """
    figures = one.maturity
    counts = sentences(figures.reasons)
    said = [] if said_already or not counts else [f"{_STATES[figures.state]}."]
    said += counts or (maturity_sentence(figures, clock),)
    if figures.visit_age_days is not None:
        scout = plain_line(figures.scout)
        by = f" by {scout}" if scout else ""
        said.append(f"Visit {amount(figures.visit_age_days)} days old{by}.")
    if figures.state != "mature" and figures.ready_on is not None and not said_already:
        said.append(f"Expected mature {expected(figures)}.")
    if figures.look_again_on is not None:
        said.append(f"Look again {day(figures.look_again_on)}.")
    return tuple(said)


def expected(figures: MaturityFigures) -> str:
    """The day a field is expected mature: ``about Fri 9 Oct (7-12 Oct)``."""
    if figures.ready_on is None:
        return "at no day that can be told"
    spread = ""
    if figures.ready_on_earliest is not None and figures.ready_on_latest is not None:
        spread = f" ({day_range(figures.ready_on_earliest, figures.ready_on_latest)})"
    return f"about {day(figures.ready_on)}{spread}"
