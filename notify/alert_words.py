"""Freeze alerts in words, as they stand. Of fields without one nothing is said."""

import re
from collections.abc import Sequence
from datetime import datetime

from dispatch.report import FieldCall, FreezeAlertFigures
from dispatch.words import LocalClock, plural
from notify.user_text import plain_line

#: Longest sender told [characters].
SENDER_MAX = 60

#: What an office is called by; anything else comes from nobody we know.
_SENDER = re.compile(r"[A-Za-z0-9 .,'/()&-]+", re.ASCII)
_NO_SENDERS = {"nan", "nat", "none", "null", "undefined", "inf", "traceback"}


def alert_lines(fields: Sequence[FieldCall], clock: LocalClock) -> tuple[str, ...]:
    """One line for each distinct alert, the soonest first, and how many fields it is for."""
    told = _distinct(fields)
    lines = []
    for one, count in told:
        share = f", {count} of {plural(len(fields), 'field')}" if count < len(fields) else ""
        lines.append(f"{alert_words(one, clock)}{share}.")
    return tuple(lines)


def alert_words(one: FreezeAlertFigures, clock: LocalClock) -> str:
    """An alert in a line: ``Freeze Watch by NWS Sandhill: Wed 2 am to 9 am``."""
    by = _sender(one.sender)
    return f"{one.event}{f' by {by}' if by else ''}: {_when(one, clock)}"


def alert_in_short(fields: Sequence[FieldCall], clock: LocalClock) -> str:
    """The soonest alert for a text message, "" where there is none."""
    told = _distinct(fields)
    if not told:
        return ""
    first = told[0][0]
    more = f" +{len(told) - 1}" if len(told) > 1 else ""
    return f"{first.event} {_when(first, clock)}{more}."


def _distinct(fields: Sequence[FieldCall]) -> list[tuple[FreezeAlertFigures, int]]:
    """Alerts that tell the same, once, and the fields each is for."""
    counts: dict[tuple[object, ...], int] = {}
    first: dict[tuple[object, ...], FreezeAlertFigures] = {}
    for field in fields:
        mine = {(one.event, one.sender, one.onset_utc, one.ends_utc): one for one in field.alerts}
        for key, one in mine.items():
            counts[key] = counts.get(key, 0) + 1
            first.setdefault(key, one)
    return sorted(((one, counts[key]) for key, one in first.items()), key=_soonest)


def _soonest(told: tuple[FreezeAlertFigures, int]) -> tuple[bool, float, str, str]:
    one = told[0]
    at = one.onset_utc.timestamp() if one.onset_utc else 0.0
    return one.onset_utc is not None, at, one.event, one.sender


def _when(one: FreezeAlertFigures, clock: LocalClock) -> str:
    onset, ends = one.onset_utc, one.ends_utc
    if onset and ends:
        return _span(onset, ends, clock)
    if onset:
        return f"from {clock.weekday_moment(onset)}"
    return f"until {clock.weekday_moment(ends)}" if ends else "its hours are not told"


def _span(onset: datetime, ends: datetime, clock: LocalClock) -> str:
    same = clock.local(onset).date() == clock.local(ends).date()
    return f"{clock.weekday_moment(onset)} to " + (
        clock.hour(ends) if same else clock.weekday_moment(ends)
    )


def _sender(told: str) -> str:
    """The service's own name of its office; "" where it is not one."""
    plain = plain_line(told)[:SENDER_MAX].strip()
    words = {one.lower() for one in re.findall(r"\w+", plain)}
    return plain if _SENDER.fullmatch(plain) and words.isdisjoint(_NO_SENDERS) else ""
