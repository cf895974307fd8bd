"""The plan of rigs as rows to look at and to report on."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from urllib.parse import quote

from dispatch.report import FieldCall, MorningReport
from dispatch.routes.called import Since
from dispatch.routes.plan import LeftOut, PlannedDay, RoutePlan, Stop
from dispatch.words import LocalClock, plural
from notify.rig_sheet import FarmFacts, load_words
from notify.route_words import day_title, left_rows, stop_remarks
from notify.user_text import plain_line
from web.rig_lanes import Axis, Track, axis_of, by_date, spray_hours, track_of
from web.rig_standing import StopStanding, stop_standing
from web.units import Units, shown


@dataclass(frozen=True)
class StopRow:
    """One stop: what is planned, how it stands, and what may be reported of it."""

    number: int
    field_id: str
    address: str
    name: str
    times: str
    size: str
    way: str
    loads: str
    effect: str
    remarks: str
    mind: str
    standing: StopStanding
    locked: bool
    deeds: tuple[str, ...]
    track: Track


@dataclass(frozen=True)
class RigLane:
    """One rig on one day."""

    rig_id: str
    title: str
    sheet: str
    stops: tuple[StopRow, ...]


@dataclass(frozen=True)
class RigDate:
    """The rigs of one date, over the same hours; ``now`` is where the time stands [%]."""

    on: date
    axis: Axis
    now: str | None
    lanes: tuple[RigLane, ...]


@dataclass(frozen=True)
class LeftRow:
    """A field no rig comes to."""

    address: str
    field_id: str
    cells: tuple[str, ...]
    skipped: bool


@dataclass(frozen=True)
class PlanView:
    """A plan and all that says how it stands now."""

    plan: RoutePlan
    report: MorningReport
    since: Since
    facts: FarmFacts
    clock: LocalClock
    now: datetime
    units: Units

    @property
    def calls(self) -> Mapping[str, FieldCall]:
        """The calls of the newest morning, by field."""
        return {one.field.id: one for one in self.report.fields}


def rig_dates(view: PlanView, rig_id: str) -> tuple[RigDate, ...]:
    """The days of the plan from today on, of one rig or, for "", of all."""
    calls = view.calls
    days = [one for one in view.plan.days if one.on >= view.clock.today]
    found = []
    for on, of_date in by_date(days).items():
        axis = axis_of(of_date, view.clock)
        lanes = tuple(
            _lane(view, calls, one, axis) for one in of_date if rig_id in ("", one.rig_id)
        )
        if lanes:
            found.append(RigDate(on, axis, axis.now(view.now), lanes))
    return tuple(found)


def left_out_rows(view: PlanView) -> tuple[LeftRow, ...]:
    """The fields no rig comes to, with why."""
    rows = zip(view.plan.left_out, left_rows(view.plan), strict=True)
    skipped = view.since.standing.skipped
    return tuple(_left(one, cells, one.field_id in skipped) for one, cells in rows)


def changed_since(dates: tuple[RigDate, ...]) -> str:
    """How many stops do not stand as they were planned; "" where all do."""
    stops = [stop for one in dates for lane in one.lanes for stop in lane.stops]
    gone = sum(one.standing.mark in ("gone", "skipped") for one in stops)
    past = sum(one.standing.mark == "past" for one in stops)
    told = [f"{plural(gone, 'stop')} no longer to be sprayed"] if gone else []
    told += [f"{plural(past, 'stop')} past without a spray logged"] if past else []
    return ", ".join(told)


def field_address(field_id: str) -> str:
    """The page of a field."""
    return f"/fields/{quote(field_id, safe='')}"


def _left(one: LeftOut, cells: tuple[str, ...], skipped: bool) -> LeftRow:
    lines = tuple(plain_line(cell) for cell in cells)
    return LeftRow(field_address(one.field_id), one.field_id, lines, skipped)


def _lane(view: PlanView, calls: Mapping[str, FieldCall], one: PlannedDay, axis: Axis) -> RigLane:
    rows = tuple(_row(view, calls, one, place, axis) for place in range(len(one.stops)))
    sheet = f"/rigs/{quote(one.rig_id, safe='')}/{one.on.isoformat()}/sheet"
    return RigLane(one.rig_id, plain_line(day_title(one, view.clock)), sheet, rows)


def _row(
    view: PlanView, calls: Mapping[str, FieldCall], one: PlannedDay, place: int, axis: Axis
) -> StopRow:
    stop, clock = one.stops[place], view.clock
    standing = stop_standing(one, stop, calls, view.since, view.now)
    call, field = calls.get(stop.field_id), view.facts.fields.get(stop.field_id)
    stands = standing.mark in ("planned", "under_way", "past")
    hours = spray_hours(call) if call is not None and stands else ()
    closes = f", closes {clock.hour(stop.by_utc)}" if stop.by_utc else ""
    return StopRow(
        number=place + 1,
        field_id=stop.field_id,
        address=field_address(stop.field_id),
        name=plain_line(stop.field_name),
        times=f"{clock.hour(stop.start_utc)} to {clock.hour(stop.end_utc)}{closes}",
        size=shown(stop.acres, "area", view.units),
        way=(
            f"{shown(stop.miles, 'distance', view.units)}, {stop.drive_min} min, there "
            f"{clock.hour(stop.arrive_utc)}"
        ),
        loads=load_words(one, place, view.facts),
        effect=f"{stop.effect_pct:.0f}",
        remarks=stop_remarks(stop.model_copy(update={"state": "planned", "locked": False})),
        mind=plain_line(field.sensitive or "") if field else "",
        standing=standing,
        locked=stop.locked,
        deeds=_deeds(stop, standing),
        track=track_of(one, place, hours, axis, clock),
    )


def _deeds(stop: Stop, standing: StopStanding) -> tuple[str, ...]:
    """What may be reported of a stop as it stands."""
    if standing.mark == "done":
        return ()
    if standing.mark == "skipped":
        return ("put_back",)
    if standing.mark == "past":
        return ("done", "missed")
    if standing.mark == "gone":
        return ("done",)
    if standing.mark == "under_way":
        return ("done", "missed")
    return ("done", "skip", "unlock" if stop.locked else "lock")
