"""Intervals as the provider writes them: a start and a duration, ISO 8601."""

import re
from datetime import UTC, datetime, timedelta

import numpy as np
import numpy.typing as npt

Whole = npt.NDArray[np.int64]

#: Hours are counted from here.
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)

_INTERVAL = re.compile(
    r"(20\d\d-\d\d-\d\dT\d\d:\d\d(?::\d\d(?:\.0{1,6})?)?(?:Z|[+-]\d\d:\d\d))"
    r"/P(?=[\dT])(?:(\d{1,3})W)?(?:(\d{1,4})D)?"
    r"(?:T(?=\d)(?:(\d{1,4})H)?(?:(\d{1,6})M)?(?:(\d{1,7})S)?)?",
    re.ASCII,
)


class _Known(dict[str, int]):
    """Intervals read before. All cells of a morning tell the same ones, layer by layer."""

    def __missing__(self, interval: str) -> int:
        first, end = hours_of(interval)
        if len(self) >= MOST_KNOWN:
            self.clear()
        self[interval] = packed = first << LENGTH_BITS | (end - first)
        return packed


#: Bits that hold the length of any interval that can be read, in one number with its first hour.
LENGTH_BITS = 20


#: Most intervals remembered; a morning of one provider holds about two thousand.
MOST_KNOWN = 16384


def hours_of(interval: str) -> tuple[int, int]:
    """First hour and end of a half-open interval, as whole hours since 1970 UTC.

    Parameters
    ----------
    interval
        Start and duration, such as ``2026-10-06T11:00:00+00:00/P1DT13H``: start with its offset
        from UTC and a year from 2000 to 2099, duration in weeks, days, hours, minutes, seconds.

    Returns
    -------
    tuple of int
        Hour ``first`` is inside, hour ``end`` is not.

    Raises
    ------
    ValueError
        The text is no such interval, is empty, or does not start and end on the hour: it is
        refused and never guessed at.
    """
    match = _INTERVAL.fullmatch(interval)
    if match is None:
        raise ValueError(f"got {interval[:60]!r}, wanted a start and a duration")
    try:
        start_s = (datetime.fromisoformat(match[1]) - EPOCH) // timedelta(seconds=1)
    except ValueError as error:
        raise ValueError(f"got {interval!r}, wanted a start that exists ({error})") from error
    weeks, days, hours, minutes, seconds = (int(part or 0) for part in match.groups()[1:])
    length_s = ((weeks * 7 + days) * 24 + hours) * 3600 + minutes * 60 + seconds
    if length_s == 0:
        raise ValueError(f"got {interval!r}, wanted a duration above zero")
    if start_s % 3600 or length_s % 3600:
        raise ValueError(f"got {interval!r}, wanted whole hours")
    return start_s // 3600, (start_s + length_s) // 3600


#: By interval, first hour and length in one number, remembered: the quick way for many, because
#: one number an interval becomes an array at once. `unpacked` takes them apart.
PACKED_HOURS = _Known()


def unpacked(packed: Whole) -> tuple[Whole, Whole]:
    """First hours and ends of packed intervals."""
    first = packed >> LENGTH_BITS
    return first, first + (packed & ((1 << LENGTH_BITS) - 1))


def hour_utc(hour: int) -> datetime:
    """The moment an hour since 1970 starts."""
    return EPOCH + timedelta(hours=hour)


def moment_utc(told: object) -> datetime | None:
    """A moment told as text or as it is; None where it is none or has no offset from UTC."""
    try:
        moment = datetime.fromisoformat(told) if isinstance(told, str) else told
        if not isinstance(moment, datetime) or moment.tzinfo is None:
            return None
        return moment.astimezone(UTC)
    except (ValueError, OverflowError):
        return None
