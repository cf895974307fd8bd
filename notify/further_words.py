"""What another source sees past the forecast, in one line that says it is no part of any call."""

from collections.abc import Sequence

from dispatch.report import FieldCall, FurtherFigures
from dispatch.words import LocalClock, day, plural, temp
from notify.freeze_words import MAY_CLEAR
from notify.user_text import plain_line

NO_PART = "no part of any call"


def further_line(fields: Sequence[FieldCall], clock: LocalClock) -> str:
    """The further look of several fields together; "" where none was asked for."""
    asked = [one.further for one in fields if one.further is not None]
    if not asked:
        return ""
    known = [one for one in asked if one.low_f is not None]
    sources = dict.fromkeys(plain_line(one.source) for one in known or asked)
    opening = f"Further ahead by {', '.join(sources)}, {NO_PART}"
    if not known:
        return f"{opening}: not known."
    missing = len(fields) - len(known)
    share = f" ({plural(missing, 'field')} not known)" if missing else ""
    return f"{opening}: {further_words(known, clock)}{share}."


def further_words(known: Sequence[FurtherFigures], clock: LocalClock) -> str:
    """The earliest freezes, the coldest hour and the least reach of these looks.

    One that is old may show a freeze but does not say that none is seen.
    """
    firsts = [one.first_utc for one in known if one.first_utc is not None]
    killings = [one.killing_utc for one in known if one.killing_utc is not None]
    parts = []
    if firsts:
        parts.append(f"first freeze seen {clock.weekday_moment(min(firsts))}")
    elif all(one.age_mark in MAY_CLEAR for one in known):
        parts.append("no freeze seen")
    if killings:
        parts.append(f"first killing freeze seen {clock.weekday_moment(min(killings))}")
    coldest = min(known, key=lambda one: _known(one.low_f))
    on = f" {day(clock.local(coldest.low_utc).date())}" if coldest.low_utc else ""
    parts.append(f"coldest {temp(_known(coldest.low_f))}{on}")
    through = [one.through_utc for one in known if one.through_utc is not None]
    if through:
        parts.append(f"through {clock.weekday_moment(min(through))}")
    return ", ".join(parts)


def _known(low_f: float | None) -> float:
    return float("inf") if low_f is None else low_f
