"""A rig's day as lanes over the hours: a track for each stop, on one axis for all rigs of a day."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import groupby

from dispatch.report import FieldCall
from dispatch.routes.plan import PlannedDay, Stop
from dispatch.words import LocalClock

#: Hours told on the axis of a day at the most.
MOST_TICKS = 6
HOUR = timedelta(hours=1)


@dataclass(frozen=True)
class Hours:
    """Hours in which a field may be sprayed, in a full window or in part of one."""

    start_utc: datetime
    end_utc: datetime
    full: bool


@dataclass(frozen=True)
class Part:
    """One part of a track: what it is, where it begins and how wide it is [% of the axis]."""

    kind: str
    left: str
    width: str
    title: str


@dataclass(frozen=True)
class Tick:
    """An hour of the axis: where it stands [%], and its words, "" where there is no room."""

    left: str
    label: str


@dataclass(frozen=True)
class Track:
    """The hours of one stop. ``said`` tells the same to those who cannot see it."""

    parts: tuple[Part, ...]
    said: str


@dataclass(frozen=True)
class Axis:
    """The hours that the rigs of one day share."""

    start_utc: datetime
    end_utc: datetime
    ticks: tuple[Tick, ...] = ()

    def left(self, moment_utc: datetime) -> float:
        """Where a moment stands [%], no farther than the ends."""
        share = (moment_utc - self.start_utc) / (self.end_utc - self.start_utc)
        return min(100.0, max(0.0, 100 * share))

    def part(self, kind: str, start_utc: datetime, end_utc: datetime, title: str) -> Part:
        """What lasts from one moment to another."""
        left, right = self.left(start_utc), self.left(end_utc)
        return Part(kind, f"{left:.2f}%", f"{max(0.0, right - left):.2f}%", title)

    def now(self, moment_utc: datetime) -> str | None:
        """Where the time now stands; None where it is not on the axis."""
        if not self.start_utc <= moment_utc <= self.end_utc:
            return None
        return f"{self.left(moment_utc):.2f}%"


def axis_of(days: Sequence[PlannedDay], clock: LocalClock) -> Axis:
    """The hours from the first rig out to the last one back, in whole hours."""
    first = clock.local(min(one.leave_utc for one in days))
    last = clock.local(max(one.back_utc for one in days))
    start = first.replace(minute=0, second=0, microsecond=0)
    end = last.replace(minute=0, second=0, microsecond=0)
    end += HOUR if end < last else timedelta()
    hours = max(1, round((end - start) / HOUR))
    plain = Axis(start, start + hours * HOUR)
    every = -(-hours // MOST_TICKS)
    ticks = tuple(
        Tick(f"{100 * hour / hours:.2f}%", clock.hour(start + hour * HOUR) if told else "")
        for hour in range(hours)
        for told in [hour % every == 0]
    )
    return Axis(plain.start_utc, plain.end_utc, ticks)


def track_of(
    one: PlannedDay,
    place: int,
    hours: Sequence[Hours],
    axis: Axis,
    clock: LocalClock,
) -> Track:
    """The track of one stop.

    Parameters
    ----------
    one, place
        The rig's day, and which of its stops.
    hours
        When the field may be sprayed by the newest morning; what lies off the axis is left away.
    axis
        The hours drawn.
    clock
        Tells the hours.
    """
    stop = one.stops[place]
    left = one.leave_utc if place == 0 else one.stops[place - 1].end_utc
    parts = [
        *_windows(hours, axis, clock),
        axis.part("drive", left, stop.arrive_utc, f"drive {stop.drive_min} min"),
        *_ready(stop, axis),
        axis.part(
            "spray" if stop.full else "short",
            stop.start_utc,
            stop.end_utc,
            f"spray {_told(stop.start_utc, stop.end_utc, clock)}",
        ),
    ]
    if place == len(one.stops) - 1:
        parts.append(axis.part("drive", stop.end_utc, one.back_utc, "drive home"))
    return Track(tuple(parts), "; ".join(part.title for part in parts))


def spray_hours(one: FieldCall) -> tuple[Hours, ...]:
    """When a field may be sprayed, as far as its morning sees."""
    season = one.season
    if season is None:
        return tuple(Hours(each.start_utc, each.end_utc, each.full) for each in one.windows)
    found, at = [], season.start_utc
    for spray, hours in groupby(season.spray):
        ends = at + len(list(hours)) * HOUR
        if spray in ("full", "partial"):
            found.append(Hours(at, ends, spray == "full"))
        at = ends
    return tuple(found)


def by_date(days: Sequence[PlannedDay]) -> dict[date, list[PlannedDay]]:
    """The rigs' days of each date, the first date first."""
    found: dict[date, list[PlannedDay]] = {}
    for one in sorted(days, key=lambda one: one.on):
        found.setdefault(one.on, []).append(one)
    return found


def _windows(hours: Sequence[Hours], axis: Axis, clock: LocalClock) -> Iterator[Part]:
    for window in hours:
        if window.end_utc > axis.start_utc and window.start_utc < axis.end_utc:
            what = "window" if window.full else "part of a window"
            told = f"{what} {_told(window.start_utc, window.end_utc, clock)}"
            kind = "window" if window.full else "part-window"
            yield axis.part(kind, window.start_utc, window.end_utc, told)


def _ready(stop: Stop, axis: Axis) -> Iterator[Part]:
    """What is done at the field before the spray: the clean-out, then set-up and filling."""
    begins = stop.arrive_utc
    if stop.cleanout_min:
        begins = min(stop.start_utc, begins + timedelta(minutes=stop.cleanout_min))
        told = f"clean out {stop.cleanout_min} min"
        yield axis.part("cleanout", stop.arrive_utc, begins, told)
    if begins < stop.start_utc:
        waits_min = round((stop.start_utc - begins).total_seconds() / 60)
        yield axis.part("ready", begins, stop.start_utc, f"set up, fill or wait {waits_min} min")


def _told(start_utc: datetime, end_utc: datetime, clock: LocalClock) -> str:
    return f"{clock.hour(start_utc)} to {clock.hour(end_utc)}"
