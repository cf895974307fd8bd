"""Whether a morning is due: a pure function of the clock, what was done, and the times set.

The worker asks every half minute. Nothing here remembers anything: the ledger in the database
does, by local date, so a restart, a machine that slept, a clock set back and the two nights of
the year with 25 and 23 hours all come out the same way.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Protocol
from zoneinfo import ZoneInfo


class Ledger(Protocol):
    """What is known of past mornings, by the farm's local date."""

    def sent_on(self, local_date: date) -> bool:
        """Whether that date's morning was run."""
        ...

    def missed_on(self, local_date: date) -> bool:
        """Whether that date's morning was given up."""
        ...


@dataclass(frozen=True)
class SendTimes:
    """When digests go out, in the farm's zone, on one local day.

    From ``send_at`` a morning is due; after ``deadline`` it is marked late; after ``late_until``
    it is given up for the day.
    """

    zone: ZoneInfo
    send_at: time
    deadline: time
    late_until: time

    def __post_init__(self) -> None:
        if not self.send_at <= self.deadline <= self.late_until:
            raise ValueError(
                f"send times: got send_at {self.send_at:%H:%M}, deadline {self.deadline:%H:%M}, "
                f"late_until {self.late_until:%H:%M}, wanted them in that order; reorder them"
            )


@dataclass(frozen=True)
class RunNow:
    """Run the morning of ``local_date``; ``late`` past the deadline."""

    local_date: date
    late: bool


@dataclass(frozen=True)
class Nothing:
    """Nothing to do before ``next_utc``."""

    next_utc: datetime


@dataclass(frozen=True)
class Missed:
    """The morning of ``local_date`` was not run in time: record it once and raise the alarm."""

    local_date: date


Decision = RunNow | Nothing | Missed


def due(now: datetime, ledger: Ledger, times: SendTimes) -> Decision:
    """What to do at ``now``, an aware time.

    Only the present local date can be run or missed: of several days slept through, the days
    before are left alone.
    """
    if now.tzinfo is None:
        raise ValueError(f"now: got {now.isoformat()} without a zone, wanted an aware time")
    today = now.astimezone(times.zone).date()
    starts = _instant(today, times.send_at, times.zone)
    if ledger.sent_on(today) or ledger.missed_on(today):
        return Nothing(_instant(today + timedelta(days=1), times.send_at, times.zone))
    if now < starts:
        return Nothing(starts)
    if now <= _instant(today, times.late_until, times.zone):
        return RunNow(today, late=now > _instant(today, times.deadline, times.zone))
    return Missed(today)


def _instant(local_date: date, wall: time, zone: ZoneInfo) -> datetime:
    """The first moment whose wall time is ``wall``; a skipped one keeps its old offset."""
    return datetime.combine(local_date, wall, tzinfo=zone).astimezone(UTC)
