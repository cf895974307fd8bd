"""What services say the time is, heard beside answers that are asked for anyway.

A clock that is wrong makes every age wrong. An answer over HTTP carries the time at which it was
sent, and a forecast the time at which it was issued; neither is worth a request of its own.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime

#: Statuses of answers that were made for us: good ones, and "nothing newer".
_FOR_US = {200, 203, 304}


@dataclass(frozen=True)
class ToldTime:
    """The time a host told [UTC], and what our clock showed when it was heard [UTC]."""

    host: str
    theirs_utc: datetime
    ours_utc: datetime


class TimesTold:
    """Collects what is told while it is listened to.

    ``newest_issue_utc`` is the newest issue time of any forecast that came, believed or not.

    Parameters
    ----------
    clock
        Tells our time, aware.
    """

    def __init__(self, clock: Callable[[], datetime]) -> None:
        self._clock = clock
        self.told: list[ToldTime] = []
        self.newest_issue_utc: datetime | None = None

    def of_answer(self, host: str, status: int, headers: Mapping[str, str]) -> None:
        """Note the time of an answer, unless it tells none or was kept by somebody on its way."""
        theirs = _sent_utc(headers) if status in _FOR_US else None
        if theirs is not None:
            self.told.append(ToldTime(host, theirs, self._clock()))

    def of_issue(self, issued_utc: datetime) -> None:
        """Note when a forecast says it was issued."""
        if self.newest_issue_utc is None or issued_utc > self.newest_issue_utc:
            self.newest_issue_utc = issued_utc


_LISTENER: ContextVar[TimesTold | None] = ContextVar("listener", default=None)


@contextmanager
def listening(listener: TimesTold | None) -> Iterator[None]:
    """Let a listener hear of every answer that comes while the block runs."""
    mark = _LISTENER.set(listener)
    try:
        yield
    finally:
        _LISTENER.reset(mark)


def listener() -> TimesTold | None:
    """Who is listening, None where nobody is."""
    return _LISTENER.get()


def _sent_utc(headers: Mapping[str, str]) -> datetime | None:
    """When an answer was sent by its service; None where it does not say, or lay in between."""
    if headers.get("Age", "0").strip() != "0":
        return None
    try:
        sent = parsedate_to_datetime(headers.get("Date", ""))
        return (sent if sent.tzinfo else sent.replace(tzinfo=UTC)).astimezone(UTC)
    except (ValueError, TypeError, OverflowError):
        return None
