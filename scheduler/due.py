"""Whether a morning is due: a pure function of the clock, what was done, and the times set.

The worker asks every half minute. Nothing here remembers anything: the ledger in the database
does, by local date, so a restart, a machine that slept, a clock set back and the two nights of
the year with 25 and 23 hours all come out the same way.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Protocol
from zoneinfo import ZoneInfo

#: Hours after the morning at which it is looked at again, for a correction [h]. Judgement: twice
#: while rigs are still being sent out.
LOOK_AGAIN_H = (3, 6)
#: A look not taken by this much after its time is left out [h].
LOOK_WITHIN_H = 1
#: Text messages end this long before mails do [h]. Fault list, rule 2.10: text messages until
#: 10:00, mails until 12:00.
TEXTS_END_BEFORE_H = 2
#: Fetching ahead, in the ledger.
AHEAD = "ahead"
#: How long a message may still be handed over after it was made, whatever the hour, by the first
#: word of its kind [h]. Judgement: a morning made by hand in the afternoon still goes out.
GOES_FOR_H = {"morning": 1, "correction": 4, "alarm": 12}


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


@dataclass(frozen=True)
class LookAgain:
    """Look at the morning of ``local_date`` again; ``kind`` names this look in the ledger."""

    local_date: date
    kind: str


class Looks(Protocol):
    """What is known of second looks, by local date and kind."""

    def sent_on(self, local_date: date, kind: str = ...) -> bool:
        """Whether that run of that date was made."""
        ...


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


def look_due(now: datetime, ledger: Looks, times: SendTimes) -> LookAgain | None:
    """The look at today's morning that is due at ``now``, or None."""
    today = now.astimezone(times.zone).date()
    if not ledger.sent_on(today, "morning"):
        return None
    starts = _instant(today, times.send_at, times.zone)
    for hours in LOOK_AGAIN_H:
        since, kind = now - starts - timedelta(hours=hours), f"again-{hours}h"
        in_time = timedelta() <= since <= timedelta(hours=LOOK_WITHIN_H)
        if in_time and not ledger.sent_on(today, kind):
            return LookAgain(today, kind)
    return None


def ahead_due(now: datetime, ledger: Looks, times: SendTimes, lead: timedelta) -> date | None:
    """The local date whose forecasts are to be fetched ahead now, or None.

    They are from ``lead`` before its morning is due until then, once, and not where the morning
    was made by hand already.
    """
    today = now.astimezone(times.zone).date()
    # A morning soon after midnight is fetched for on the evening before.
    for local_date in (today, today + timedelta(days=1)):
        starts = _instant(local_date, times.send_at, times.zone)
        if not starts - lead <= now < starts:
            continue
        done = (ledger.sent_on(local_date, kind) for kind in ("morning", AHEAD))
        return None if any(done) else local_date
    return None


def starts_utc(local_date: date, times: SendTimes) -> datetime:
    """When the morning of a date is due."""
    return _instant(local_date, times.send_at, times.zone)


def deadline_utc(local_date: date, times: SendTimes) -> datetime:
    """By when everybody should have the digest of a date."""
    return _instant(local_date, times.deadline, times.zone)


def past_deadline(local_date: date, now: datetime, times: SendTimes) -> bool:
    """Whether everybody should have the digest of ``local_date`` by now."""
    return now > deadline_utc(local_date, times)


def too_late(
    kind: str,
    channel: str,
    local_date: date,
    planned_utc: datetime,
    now: datetime,
    times: SendTimes,
) -> bool:
    """Whether a message is no longer worth handing over: yesterday's calls are worse than none."""
    end = _instant(local_date, times.late_until, times.zone)
    if channel == "sms":
        end -= timedelta(hours=TEXTS_END_BEFORE_H)
    own = planned_utc + timedelta(hours=GOES_FOR_H.get(kind.partition("-")[0], 1))
    return now > max(end, own)


def texts_end_utc(local_date: date, times: SendTimes) -> datetime:
    """When the last text message of a date's morning may be made."""
    last = _instant(local_date, times.late_until, times.zone)
    return last - timedelta(hours=TEXTS_END_BEFORE_H)


def _instant(local_date: date, wall: time, zone: ZoneInfo) -> datetime:
    """The first moment whose wall time is ``wall``; a skipped one keeps its old offset."""
    return datetime.combine(local_date, wall, tzinfo=zone).astimezone(UTC)
