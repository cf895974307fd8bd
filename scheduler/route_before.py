"""The plan of rigs that was kept before, with what was reported since, for the next one."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from dispatch.routes.part_names import job_id
from dispatch.routes.plan import PlannedDay, RoutePlan, Stop
from dispatch.routes.standing import Lock, Outage, Standing
from dispatch.words import WEEKDAYS
from farm.route_note import RouteNote
from scheduler.typed_record import season_of

if TYPE_CHECKING:
    from farm.records import Spray
    from scheduler.opening import OpenFarm

#: How long before a plan a spray may lie that was logged after it, and still be one of its own.
LOGGED_LATE = timedelta(hours=24)


def standing_of(
    farm: "OpenFarm",
    now: datetime,
    sprays: "Mapping[str, Spray]",
    lock: Sequence[str] = (),
    unlock: Sequence[str] = (),
) -> Standing:
    """What stands of the plan kept last; its notes have a line for each lock that cannot be read.

    Parameters
    ----------
    farm
        The farm.
    now
        The time to plan from.
    sprays
        The last spray of each field.
    lock, unlock
        Stops as they were typed: RIG/FIELD, RIG/NUMBER, or RIG/DAY/NUMBER.
    """
    from storage.errors import StorageError

    lines: list[str] = []
    try:
        plan = _before(farm.stores.route_plans.latest(), now)
    except StorageError as fault:
        lines.append(f"{fault}; planned as if none had been kept")
        plan = None
    notes = list(notes_of_season(farm, now))
    asked, faults = read_stops(plan, lock, "lock")
    freed, more = read_stops(plan, unlock, "unlock")
    stood = [told for told in _planned(plan) if told[1].locked and told not in freed]
    held = (_lock(*told) for told in (*stood, *asked))
    locks = {one.field_id: one for one in held}
    made_utc = plan.made_utc if plan and plan.made_utc else now
    fields = {stop.field_id for _, stop in _planned(plan)}
    return Standing(
        plan=plan,
        sprayed={
            field_id: one.sprayed_utc
            for field_id, one in sprays.items()
            if field_id in fields and one.sprayed_utc >= made_utc - LOGGED_LATE
        },
        skipped=_skipped(notes, now),
        missed={
            one.field_id: one.why
            for one in _last_of_fields(notes).values()
            if one.kind == "missed" and one.field_id and one.noted_utc >= made_utc
        },
        outages=tuple(_outages(notes)),
        locks=tuple(locks.values()),
        notes=(*lines, *faults, *more),
        parts_done=parts_done(notes, sprays),
    )


def _lock(day: PlannedDay, stop: Stop) -> Lock:
    name = job_id(stop.field_id, stop.part, stop.parts)
    return Lock(name, day.rig_id, day.on, stop.start_utc)


def parts_done(notes: Sequence[RouteNote], sprays: "Mapping[str, Spray]") -> dict[str, datetime]:
    """When parts were sprayed of fields that were not sprayed whole since, by the part's name."""
    found: dict[str, dict[str, datetime]] = {}
    for one in notes:
        if one.field_id is None or one.part is None:
            continue
        name = job_id(one.field_id, one.part, one.parts)
        of_field = found.setdefault(one.field_id, {})
        if one.kind == "part_done" and one.from_utc is not None:
            of_field[name] = one.from_utc
        else:
            of_field.pop(name, None)
    for field_id in found.keys() & sprays.keys():
        last_utc = sprays[field_id].sprayed_utc
        found[field_id] = {name: at for name, at in found[field_id].items() if at > last_utc}
    return {name: at for of_field in found.values() for name, at in of_field.items()}


def _planned(plan: RoutePlan | None) -> Iterator[tuple[PlannedDay, Stop]]:
    for day in plan.days if plan else ():
        for stop in day.stops:
            yield day, stop


def _before(plan: RoutePlan | None, now: datetime) -> RoutePlan | None:
    """The plan kept last, unless all its days are past or it was made later than ``now``."""
    if plan is None or (plan.made_utc and plan.made_utc > now):
        return None
    today = now.astimezone(ZoneInfo(plan.time_zone)).date()
    return plan if any(day.on >= today for day in plan.days) else None


def notes_of_season(farm: "OpenFarm", now: datetime) -> Iterator[RouteNote]:
    """What was reported this season up to now, in the order it was."""
    begins, ends = season_of(now, farm.zone)
    for one in farm.stores.route_notes.all():
        if begins <= one.noted_utc < ends and one.noted_utc <= now:
            yield one


def _last_of_fields(notes: Sequence[RouteNote]) -> dict[str, RouteNote]:
    return {one.field_id: one for one in notes if one.field_id and one.part is None}


def _skipped(notes: Sequence[RouteNote], now: datetime) -> dict[str, str]:
    return {
        field_id: one.why
        for field_id, one in _last_of_fields(notes).items()
        if one.kind == "skip" and (one.until_utc is None or one.until_utc > now)
    }


def _outages(notes: Sequence[RouteNote]) -> Iterator[Outage]:
    """The last outage of each rig, cut off where it came back."""
    last: dict[str, Outage] = {}
    for one in notes:
        if one.rig_id is None or one.from_utc is None:
            continue
        if one.kind == "rig_out":
            last[one.rig_id] = Outage(one.rig_id, one.from_utc, one.until_utc, one.why)
        elif one.rig_id in last:
            out = last[one.rig_id]
            ends = one.from_utc if out.until_utc is None else min(one.from_utc, out.until_utc)
            last[one.rig_id] = Outage(out.rig_id, out.from_utc, ends, out.why)
    return (one for one in last.values() if one.until_utc is None or one.until_utc > one.from_utc)


def read_stops(
    plan: RoutePlan | None, typed: Sequence[str], what: str
) -> tuple[list[tuple[PlannedDay, Stop]], list[str]]:
    """The stops of a plan that were typed, and a line for each that is none of it."""
    found, lines = [], []
    for text in typed:
        told = _read(plan, text)
        if isinstance(told, str):
            lines.append(f'{what}: got "{text}": {told}')
        else:
            found.append(told)
    return found, lines


def _read(plan: RoutePlan | None, text: str) -> tuple[PlannedDay, Stop] | str:
    if plan is None:
        return "no plan is kept that it could stand in; run warmspell routes first"
    rig, _, rest = text.partition("/")
    days = [one for one in plan.days if _same(rig, (one.rig_id, one.rig_name))]
    if not rest:
        return "wanted RIG/FIELD, RIG/NUMBER or RIG/DAY/NUMBER, such as wide/nd1 or wide/thu/2"
    for day in days:
        for stop in day.stops:
            if _same(rest, (stop.field_id, stop.field_name)):
                return day, stop
    numbered = _numbered(days, rest) if days else None
    if numbered is not None:
        return numbered
    elsewhere = [
        (day, stop) for day, stop in _planned(plan) if _same(rest, (stop.field_id, stop.field_name))
    ]
    if elsewhere:
        day, stop = elsewhere[0]
        hint = f"say {day.rig_id}/{stop.field_id}"
        return f"{stop.field_name} is with {day.rig_name} in the plan; {hint}"
    if not days:
        rigs = ", ".join(dict.fromkeys(one.rig_id for one in plan.days))
        return f"the plan has no such rig; it has {rigs or 'none'}"
    return f"no such stop of {days[0].rig_name} in the plan; see warmspell routes"


def _numbered(days: Sequence[PlannedDay], text: str) -> tuple[PlannedDay, Stop] | None:
    """A stop by its number on the rig's first day in the plan, or on the day that is named."""
    name, _, number = text.rpartition("/")
    on = [one for one in days if not name or _same(name, (WEEKDAYS[one.on.weekday()],))]
    if not on or not number.isdecimal() or not 1 <= int(number) <= len(on[0].stops):
        return None
    return on[0], on[0].stops[int(number) - 1]


def _same(text: str, names: Collection[str]) -> bool:
    return text.strip().casefold() in {one.casefold() for one in names}
