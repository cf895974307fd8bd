"""A second look at the stops a digest tells, with code that did not write them.

The words are read back and held against the plan; every stop against the morning's own evidence.
"""

import re
from collections.abc import Iterator
from html import unescape
from zoneinfo import ZoneInfo

from dispatch.report import Call, FieldCall, MorningReport
from dispatch.routes.plan import PlannedDay, Stop
from dispatch.routes.sky_check import check_sky
from farm.people import Person, Role
from notify.evidence_check import missing_evidence
from notify.morning_rigs import MorningRigs
from notify.user_text import plain_line

_HEADING = re.compile(r"^(YOUR STOPS|THE RIGS) \(.*\)$", re.MULTILINE)
_TIME = r"(?:noon|\d{1,2}(?::\d\d)? [ap]m)(?: (?!SHORT\b)[A-Z]{2,5}\b)?"
#: When a stop is told to be sprayed.
_HOURS = re.compile(rf"spray ({_TIME}) to ({_TIME})( SHORT)?")
_BAD_NUMBERS = re.compile(r"\b(?:nan|None|inf|NaT)\b")


def stop_faults(
    text: str, html: str, person: Person, report: MorningReport, rigs: MorningRigs | None
) -> list[str]:
    """What is wrong with the stops that a digest tells, in plain words.

    Parameters
    ----------
    text, html
        The finished words.
    person
        Who they are for.
    report
        The whole morning.
    rigs
        The rigs of it, None where no plan was asked for.
    """
    block = _block(text)
    driver, sender = _drives(person, rigs), person.role is Role.DISPATCHER
    if block is None:
        return ["stops: not told"] if driver and rigs is not None else []
    if rigs is None or not (driver or sender):
        return ["stops: told to somebody who neither drives a rig nor sends them"]
    if rigs.plan is None:
        return ["stops: told without a plan"] if _HOURS.search(block) else []
    days = rigs.plan.days if sender else tuple(_driven(person, rigs))
    zone = ZoneInfo(rigs.plan.time_zone)
    faults = [*_borne_out(days, report, rigs), *_left_over(block, days, rigs)]
    if sender:
        named = [plain_line(stop.field_name) for day in days for stop in day.stops]
        return [*faults, *(f"stops: {one} is not told" for one in named if one not in block)]
    wanted = _wanted(days, report)
    faults += _told(block, wanted, zone, "text")
    return [*faults, *_told(_seen(html), wanted, zone, "html")]


def _seen(html: str) -> str:
    """What a reader of the mail sees under the heading, on one line."""
    words = re.sub(r"<style.*?</style>|<[^>]*>", " ", html, flags=re.DOTALL)
    return plain_line(unescape(words)).partition("YOUR STOPS (")[2].partition("SPRAY NEXT (")[0]


def _block(text: str) -> str | None:
    """The words under the heading, on one line; None where there is no such heading."""
    found = _HEADING.search(text)
    if found is None:
        return None
    return plain_line(text[found.end() :].partition("\n\n")[0])


def _same(person: Person, name: str | None) -> bool:
    told = plain_line(name or "").lower()
    return bool(told) and (
        told == plain_line(person.id).lower() or told == plain_line(person.name).lower()
    )


def _drives(person: Person, rigs: MorningRigs | None) -> bool:
    if rigs is None or person.role is not Role.OPERATOR:
        return False
    named = (driver for rig in rigs.facts.rigs.values() for driver in rig.drivers)
    return any(_same(person, driver) for driver in named)


def _driven(person: Person, rigs: MorningRigs) -> Iterator[PlannedDay]:
    for day in rigs.plan.days if rigs.plan else ():
        rig = rigs.facts.rigs.get(day.rig_id)
        if rig and _same(person, day.driver) and day.driver in rig.drivers:
            yield day


def _wanted(days: tuple[PlannedDay, ...], report: MorningReport) -> list[tuple[str, Stop]]:
    """How every stop that is to be told begins, in order."""
    wanted = []
    for day in days:
        ahead = (day.on - report.run.local_date).days
        stops = day.stops if ahead == 0 else day.stops[:1] if ahead == 1 else ()
        for number, stop in enumerate(stops, 1):
            place = str(number) if ahead == 0 else "Tomorrow first:"
            wanted.append((f"{place} {plain_line(stop.field_name)}", stop))
    return wanted


def _told(block: str, wanted: list[tuple[str, Stop]], zone: ZoneInfo, where: str) -> list[str]:
    """Whether the words tell these stops, in this order, and no other."""
    count = len(_HOURS.findall(block))
    faults = [] if count == len(wanted) else [f"stops: {where} tells {count}, not {len(wanted)}"]
    after = 0
    for begins, stop in wanted:
        at = block.find(f"{begins} spray ", after)
        hours = _HOURS.match(block, at + len(begins) + 1) if at >= 0 else None
        if hours is None or not _as_planned(hours, stop, zone):
            faults.append(f"stops: {where} does not tell {begins} as it is planned")
        after = max(after, hours.end() if hours else 0)
    return faults


def _as_planned(hours: re.Match[str], stop: Stop, zone: ZoneInfo) -> bool:
    planned = [one.astimezone(zone) for one in (stop.start_utc, stop.end_utc)]
    told = [_minute(hours[1]), _minute(hours[2])]
    return told == [one.hour * 60 + one.minute for one in planned] and stop.full == (not hours[3])


def _minute(said: str) -> int:
    if said.startswith("noon"):
        return 12 * 60
    hour, minute = re.match(r"(\d+)(?::(\d\d))?", said).groups()  # type: ignore[union-attr]
    return int(hour) % 12 * 60 + int(minute or 0) + 12 * 60 * ("pm" in said)


def _borne_out(
    days: tuple[PlannedDay, ...], report: MorningReport, rigs: MorningRigs
) -> Iterator[str]:
    """Every stop that is still planned must be called, with all its evidence, in its hours."""
    assert rigs.plan is not None
    calls = {one.field.id: one for one in report.fields}
    made = report.run.made_utc
    for day in days:
        for stop in (one for one in day.stops if one.state == "planned"):
            name = plain_line(stop.field_name)
            call = calls.get(stop.field_id)
            if call is None or call.call not in (Call.SPRAY, Call.SHORT) or call.held_for_harvest:
                yield f"stops: {name} is not called for spraying"
                continue
            if lacks := missing_evidence(report.model_copy(update={"fields": (call,)})):
                yield f"stops: {lacks[0]}"
            if stop.start_utc < made or not stop.arrive_utc <= stop.start_utc < stop.end_utc:
                yield f"stops: {name} has hours that cannot be"
            if stop.by_utc is not None and stop.end_utc > stop.by_utc:
                yield f"stops: {name} ends after its window closes"
            if call.call is Call.SHORT and stop.full and not _full_later(call, stop):
                yield f"stops: {name} is not marked short"
    wheels = {one.id for one in rigs.facts.rigs.values() if one.kind == "ground"}
    for word in check_sky(report, rigs.plan.model_copy(update={"days": days}), wheels, 0):
        yield f"stops: {word}"


def _full_later(call: FieldCall, stop: Stop) -> bool:
    """Whether the hour a spray starts in is a full window's by the morning's own hours."""
    season = call.season
    if season is None:
        return False
    hour = int((stop.start_utc - season.start_utc).total_seconds() // 3600)
    return 0 <= hour < len(season.spray) and season.spray[hour] == "full"


def _left_over(block: str, days: tuple[PlannedDay, ...], rigs: MorningRigs) -> list[str]:
    """Numbers that were not filled in; a rig, a driver or a field may well be called None."""
    names = [rig.name for rig in rigs.facts.rigs.values()]
    names += [day.driver or "" for day in days]
    names += [stop.field_name for day in days for stop in day.stops]
    allowed = set(re.findall(r"\w+", " ".join(names)))
    return [
        f"stops: holds {left!r}, a value that was not filled in"
        for left in sorted(set(_BAD_NUMBERS.findall(block)) - allowed)
    ]
