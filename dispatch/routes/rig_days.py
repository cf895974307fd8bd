"""The days of the rigs: their hours, their days off, and who drives each of them."""

import math
from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from types import MappingProxyType
from zoneinfo import ZoneInfo

from dispatch.routes.problem import RigDay
from dispatch.routes.standing import Outage
from dispatch.routes.work import rate_acres_per_hour
from dispatch.words import WEEKDAYS
from farm.rig import Rig

#: Nobody drives anything yet.
NOBODY: Mapping[tuple[str, date], str | None] = MappingProxyType({})
NO_SEATS: Mapping[str, str] = MappingProxyType({})


def rig_days(
    rigs: Sequence[Rig],
    start_utc: datetime,
    zone: ZoneInfo,
    days: int,
    outages: Sequence[Outage] = (),
    seated: Mapping[tuple[str, date], str | None] = NOBODY,
) -> tuple[tuple[RigDay, ...], tuple[str, ...]]:
    """Every rig on every day it works, and a sentence for each rig that a driver is missing for.

    A day that has begun is cut to what is left of it, and one with an outage to the longest part
    without; a driver who is ``seated`` on a rig already stays on it that day.
    """
    found: list[RigDay] = []
    standing: dict[str, list[date]] = {}
    today = start_utc.astimezone(zone).date()
    for on in (today + timedelta(days=ahead) for ahead in range(days)):
        working = [one for one in rigs if WEEKDAYS[on.weekday()].lower() not in one.days_off]
        out = {one.id: _out_min(one.id, outages, start_utc) for one in working}
        hours = {
            one.id: longest_part(
                _minute(on, one.day_start, start_utc, zone),
                _minute(on, one.day_end, start_utc, zone),
                out[one.id],
            )
            for one in working
        }
        given = {rig_id: who for (rig_id, when), who in seated.items() if when == on and who}
        able = [one for one in working if hours[one.id] or one.id in given]
        seats = drivers_of(able, given)
        for rig in able:
            start_min, end_min = hours[rig.id] or (0, 0)
            if rig.drivers and rig.id not in seats:
                standing.setdefault(rig.id, []).append(on)
            elif end_min > max(0, start_min):
                found.append(RigDay(rig, on, max(0, start_min), end_min, seats.get(rig.id)))
    return tuple(found), tuple(_standing_words(rigs, standing))


def longest_part(
    start_min: int, end_min: int, out: Sequence[tuple[float, float]]
) -> tuple[int, int] | None:
    """The longest part of a day without an outage; None where nothing is left.

    What is past of the day does not count.
    """
    if not out:
        return start_min, end_min
    begins_min = max(0, start_min)
    edges = {begins_min, end_min, *(edge for span in out for edge in span)}
    cuts = sorted(int(one) for one in edges if begins_min <= one <= end_min)
    parts: list[tuple[int, int]] = []
    for first, last in pairwise(cuts):
        if any(first < until and last > since for since, until in out):
            continue
        if parts and parts[-1][1] == first:
            parts[-1] = (parts[-1][0], last)
        else:
            parts.append((first, last))
    return max(parts, key=lambda one: one[1] - one[0], default=None)


def _out_min(
    rig_id: str, outages: Sequence[Outage], start_utc: datetime
) -> list[tuple[float, float]]:
    """Minutes of the plan in which a rig is away, whole ones on the safe side."""

    def minute(moment: datetime) -> float:
        return (moment - start_utc).total_seconds() / 60

    return [
        (
            math.floor(minute(one.from_utc)),
            math.inf if one.until_utc is None else math.ceil(minute(one.until_utc)),
        )
        for one in outages
        if one.rig_id == rig_id
    ]


def drivers_of(rigs: Sequence[Rig], given: Mapping[str, str] = NO_SEATS) -> dict[str, str]:
    """Who drives which rig: as many rigs as there are drivers for, the quicker ones first.

    ``given`` are seats that are taken already.
    """
    seat_of: dict[str, Rig] = {}
    taken = set(given.values())

    def seated(rig: Rig, asked: set[str]) -> bool:
        for driver in rig.drivers:
            if driver in asked or driver in taken:
                continue
            asked.add(driver)
            if driver not in seat_of or seated(seat_of[driver], asked):
                seat_of[driver] = rig
                return True
        return False

    for rig in sorted(rigs, key=rate_acres_per_hour, reverse=True):
        if rig.id not in given:
            seated(rig, set())
    return {**given, **{rig.id: driver for driver, rig in seat_of.items()}}


def _minute(on: date, at: time, start_utc: datetime, zone: ZoneInfo) -> int:
    moment = datetime.combine(on, at, tzinfo=zone)
    return round((moment.astimezone(UTC) - start_utc).total_seconds() / 60)


def _standing_words(rigs: Sequence[Rig], standing: dict[str, list[date]]) -> list[str]:
    named = {one.id: one for one in rigs}
    words = []
    for rig_id, dates in standing.items():
        rig = named[rig_id]
        days = ", ".join(WEEKDAYS[one.weekday()] for one in dates)
        words.append(
            f"{rig.name} stays in the yard ({days}): {', '.join(rig.drivers)} drives another rig "
            "then; enter another driver for it"
        )
    return words
