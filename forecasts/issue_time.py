"""When a forecast was issued, as far as that can be believed."""

from datetime import datetime, timedelta

from forecasts.interval import moment_utc
from forecasts.times_told import listener

#: Farthest an issue time may lie ahead of the clock before it is not believed [min].
AHEAD_MIN = 10

NOT_TOLD = "issue time: missing from the answer, so its age is not known"
AHEAD = "issue time: ahead of the clock, so its age is not known"


def believed_issue(
    told: object, now: datetime, not_told: str = NOT_TOLD
) -> tuple[datetime | None, tuple[str, ...]]:
    """The issue time [UTC] and no doubt, or None and why.

    Parameters
    ----------
    told
        Text with its offset from UTC, or a moment, or None.
    now
        The moment of the morning, aware.
    not_told
        What to say where ``told`` is no moment.
    """
    without_hour = isinstance(told, str) and "T" not in told
    issued_utc = None if without_hour else moment_utc(told)
    if issued_utc is None:
        return None, (not_told,)
    if (heard := listener()) is not None:
        heard.of_issue(issued_utc)
    if issued_utc > now + timedelta(minutes=AHEAD_MIN):
        return None, (AHEAD,)
    return issued_utc, ()
