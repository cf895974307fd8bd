"""The clock. Nothing else in the house reads it: everywhere else the time is an argument."""

import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

EXAMPLE = "2026-10-06T06:00"


class ClockError(ValueError):
    """A time that cannot be read, told in one line."""


def now_utc(at: str | None, replay_at: datetime | None, zone: ZoneInfo) -> datetime:
    """The time to work with.

    Parameters
    ----------
    at
        ISO time the user asked for, or None; without an offset it is in ``zone``.
    replay_at
        The fixed clock of a farm that replays recorded answers, or None.
    zone
        The farm's zone.

    Returns
    -------
    datetime
        ``at`` if given, else ``replay_at``, else the real time; aware, in UTC.

    Raises
    ------
    ClockError
        For an ``at`` that is no ISO date and time.
    """
    if at is not None:
        return local_moment(at, zone)
    if replay_at is not None:
        moment = replay_at if replay_at.tzinfo else replay_at.replace(tzinfo=zone)
        return moment.astimezone(UTC)
    return datetime.now(UTC)


def local_moment(text: str, zone: ZoneInfo) -> datetime:
    """An ISO date and time as UTC; without an offset it is in ``zone``."""
    wanted = f"wanted a date and a time such as {EXAMPLE} (in {zone.key}) or {EXAMPLE}:00-05:00"
    try:
        moment = datetime.fromisoformat(text.strip())
    except ValueError:
        raise ClockError(f"got {text!r}, {wanted}") from None
    if len(text.strip()) <= len("2026-10-06"):
        raise ClockError(f"got {text!r} without a time, {wanted}")
    if moment.tzinfo is None:
        moment = moment.replace(tzinfo=zone)
    return moment.astimezone(UTC)


def going_on_from(now: datetime) -> Callable[[], datetime]:
    """A clock that stands at ``now`` and goes on from there, whatever happens to the wall's."""
    began_s = time.monotonic()
    return lambda: now + timedelta(seconds=time.monotonic() - began_s)
