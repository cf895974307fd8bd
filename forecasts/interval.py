"""Intervals as the provider writes them: a start and a duration, ISO 8601."""

import re
import struct
from collections.abc import Iterable
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


#: Most intervals remembered; a morning of one provider holds about two thousand.
MOST_KNOWN = 16384

#: First hour and end of intervals read before, as the bytes of two numbers, because bytes laid
#: end to end are an array at once. All cells of a morning tell the same intervals. Look here
#: first and ask `packed_hours` for those that are missing.
PACKED_HOURS: dict[str, bytes] = {}
_two_numbers = struct.Struct("=qq")


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


def packed_hours(interval: str) -> bytes:
    """What `hours_of` tells, packed and remembered; its errors too."""
    known = PACKED_HOURS.get(interval)
    if known is not None:
        return known
    packed = _two_numbers.pack(*hours_of(interval))
    if len(PACKED_HOURS) >= MOST_KNOWN:
        PACKED_HOURS.clear()
    PACKED_HOURS[interval] = packed
    return packed


def unpacked(packed: Iterable[bytes]) -> tuple[Whole, Whole]:
    """First hours and ends of packed intervals."""
    hours = np.frombuffer(b"".join(packed), dtype=np.int64)
    return hours[::2], hours[1::2]


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
