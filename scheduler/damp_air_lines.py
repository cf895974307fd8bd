"""Dew on the leaves and inversions in the hours ahead, a line each in plain words."""

from datetime import datetime, timedelta
from itertools import groupby

from dispatch.report import HourStrip
from dispatch.words import LocalClock, plural


def damp_air_lines(strip: HourStrip, first: int, last: int, clock: LocalClock) -> tuple[str, ...]:
    """What the hours ``first`` to before ``last`` of a strip say; nothing in older records."""
    lines = []
    for letters, yes, no, unknown in (
        (
            strip.leaf_wet,
            "Leaves likely wet with dew",
            "No dew likely on the leaves in these hours",
            "whether dew wets the leaves",
        ),
        (
            strip.inversion,
            "Inversion possible",
            "No inversion likely in these hours",
            "whether an inversion is possible",
        ),
    ):
        shown = letters[first:last]
        if not shown:
            continue
        lines.append(_line(shown, strip, first, clock, (yes, no, unknown)))
    return tuple(lines)


def _line(
    shown: str, strip: HourStrip, first: int, clock: LocalClock, words: tuple[str, str, str]
) -> str:
    yes, no, unknown = words
    lost = shown.count("?")
    if lost == len(shown):
        return f"Not known {unknown} in these hours."
    hole = f"; not known for {plural(lost, 'hour')}" if lost else ""
    if "y" not in shown:
        # A dry line beside a hole would read as dry throughout.
        return f"{no}{' that are known' if lost else ''}{hole}."
    return f"{yes} {_when(shown, strip, first, clock)}{hole}."


def _when(shown: str, strip: HourStrip, first: int, clock: LocalClock) -> str:
    """Runs of likely hours: ``until about 9 am and from about 5 pm on``."""
    runs, at = [], 0
    for letter, run in groupby(shown):
        length = len(list(run))
        if letter == "y":
            runs.append((at, at + length))
        at += length
    if runs == [(0, len(shown))]:
        return "throughout these hours"
    told = []
    for start, end in runs:
        begins, ends = (
            _at(strip.start_utc + timedelta(hours=first + hour), clock) for hour in (start, end)
        )
        if start == 0:
            told.append(f"until about {ends}")
        elif end == len(shown):
            told.append(f"from about {begins} on")
        else:
            told.append(f"from about {begins} to {ends}")
    return " and ".join(told) if len(told) < 3 else f"{', '.join(told[:-1])} and {told[-1]}"


def _at(moment_utc: datetime, clock: LocalClock) -> str:
    """``9 am``, and on other days than this ``2 am tomorrow``."""
    local = clock.local(moment_utc)
    if (local.hour, local.minute) == (0, 0):
        return clock.moment(moment_utc)
    name = clock.day_name(local.date())
    return clock.hour(moment_utc) if name == "today" else f"{clock.hour(moment_utc)} {name}"
