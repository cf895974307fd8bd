"""The days of the rigs: their hours, their days off, and who drives each of them."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from dispatch.routes.problem import RigDay
from dispatch.routes.work import rate_acres_per_hour
from dispatch.words import WEEKDAYS
from farm.rig import Rig


def rig_days(
    rigs: Sequence[Rig], start_utc: datetime, zone: ZoneInfo, days: int
) -> tuple[tuple[RigDay, ...], tuple[str, ...]]:
    """Every rig on every day it works, and a sentence for each rig that a driver is missing for.

    A day that has begun is cut to what is left of it.
    """
    found: list[RigDay] = []
    standing: dict[str, list[date]] = {}
    today = start_utc.astimezone(zone).date()
    for on in (today + timedelta(days=ahead) for ahead in range(days)):
        working = [one for one in rigs if WEEKDAYS[on.weekday()].lower() not in one.days_off]
        seats = drivers_of(working)
        for rig in working:
            if rig.drivers and rig.id not in seats:
                standing.setdefault(rig.id, []).append(on)
                continue
            start_min = max(0, _minute(on, rig.day_start, start_utc, zone))
            end_min = _minute(on, rig.day_end, start_utc, zone)
            if end_min > start_min:
                found.append(RigDay(rig, on, start_min, end_min, seats.get(rig.id)))
    return tuple(found), tuple(_standing_words(rigs, standing))


def drivers_of(rigs: Sequence[Rig]) -> dict[str, str]:
    """Who drives which rig: as many rigs as there are drivers for, the quicker ones first."""
    seat_of: dict[str, Rig] = {}

    def seated(rig: Rig, asked: set[str]) -> bool:
        for driver in rig.drivers:
            if driver in asked:
                continue
            asked.add(driver)
            if driver not in seat_of or seated(seat_of[driver], asked):
                seat_of[driver] = rig
                return True
        return False

    for rig in sorted(rigs, key=rate_acres_per_hour, reverse=True):
        seated(rig, set())
    return {rig.id: driver for driver, rig in seat_of.items()}


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
