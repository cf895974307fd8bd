"""Every field's call, in the order people act on them.

"Spray first the field that would lose most, for each hour of rig time, if it had to go to the
back of the line; wait only if it would do better even from there."
"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from dispatch.bench import Bench
from dispatch.beside_order import call_beside
from dispatch.draft import Draft, Place, draft_of
from dispatch.effect import effect_curve, season_hours
from dispatch.farm_morning import FarmMorning
from dispatch.figures import spray_by
from dispatch.harvest_room import Picked, beyond_room, harvest_room, picked_by_field
from dispatch.line import Line, line_of
from dispatch.outlook import Outlook
from dispatch.past_freeze import field_after_freeze, with_forecast_freezes
from dispatch.policy import DispatchPolicy
from dispatch.readiness import Readiness
from dispatch.ready_hours import ready_hours
from dispatch.report import Call, FieldCall, MorningReport, RunFigures, beside_order
from farm.field import Field

#: Version of the rule that makes the calls; it changes when the same inputs may give other calls.
POLICY_VERSION = "3"


def rank_fields(
    farm: FarmMorning,
    outlook: Outlook,
    maturity: Mapping[str, Readiness],
    now: datetime,
    *,
    late: bool = False,
) -> MorningReport:
    """Give every registered field its call, and put the fields in order.

    Parameters
    ----------
    farm
        The farm; its fields are in the order of the outlook's rows.
    outlook
        Gates of every field and start hour.
    maturity
        Readiness of every field.
    now
        The moment of the morning, aware.
    late
        Whether the morning is made after its deadline.

    Returns
    -------
    MorningReport
        One entry for every field: unknown, then spray and short in one order, look, wait,
        then those beside the order.
    """
    farm = with_forecast_freezes(farm, outlook, now)
    season = season_hours(outlook, farm.policy)
    ready = ready_hours(maturity, farm.registered, farm.rules, farm.policy, now, season)
    curve = effect_curve(outlook, farm.registered, farm.rules, ready, farm.policy)
    picked = picked_by_field(farm.harvests, farm.sprays)
    sprayed = farm.sprays.keys() | farm.unread
    room = harvest_room(farm.harvest, farm.registered, sprayed, picked)
    line = line_of(_in_line(farm, picked, now), maturity, farm.rigs, farm.policy)
    bench = Bench(farm, outlook, curve, maturity, line, picked, room, now)
    drafts = [draft_of(bench, row, one) for row, one in enumerate(farm.registered)]
    calls = (*_calls_in_order(drafts, farm.policy, line), *_calls_beside(drafts))
    counts = {call: sum(one.call is call for one in calls) for call in Call}
    return MorningReport(
        run=RunFigures(
            farm_name=farm.name,
            time_zone=farm.time_zone,
            made_utc=now,
            local_date=now.astimezone(ZoneInfo(farm.time_zone)).date(),
            fields=len(farm.registered),
            counts=counts,
            **beside_order(calls),
            harvest=room,
            queue_days=line.days,
            queue_rig_hours=round(line.rig_hours, 2),
            usable_rig_hours_a_day=line.usable_rig_hours_a_day,
            rigs=len(farm.rigs),
            span_h=farm.policy.decision_span_h,
            policy_version=POLICY_VERSION,
            late=late,
        ),
        fields=calls,
    )


def _in_line(farm: FarmMorning, picked: Mapping[str, Picked], now: datetime) -> list[Field]:
    """Fields that still want a rig.

    One that only a forecast says has frozen stays in line: if that forecast were lost, the line
    would otherwise grow, and others look urgent because data is missing.
    """

    def confirmed(one: Field) -> bool:
        told = [freeze for freeze in farm.freezes.get(one.id, ()) if freeze.told_by == "person"]
        return field_after_freeze(farm, one, told, now) is not None

    gone = farm.sprays.keys() | picked.keys()
    return [one for one in farm.registered if one.id not in gone and not confirmed(one)]


def _calls_in_order(drafts: Sequence[Draft], policy: DispatchPolicy, line: Line) -> list[FieldCall]:
    open_ = [one for one in drafts if one.standing == "open"]
    acting = by_cost(
        [one for one in open_ if one.verdict.call in (Call.SPRAY, Call.SHORT)],
        policy.tie_points * line.acres_per_rig_hour,
    )
    ahead = [one.order_points or 0.0 for one in acting]
    looks = sorted(
        _with(open_, Call.LOOK), key=lambda one: (-(one.order_points or 0), one.one.name)
    )
    room = drafts[0].bench.room if drafts else None
    held = beyond_room([one.one.acres for one in acting], room)
    return [
        *(one.finish(Place()) for one in sorted(_with(open_, Call.UNKNOWN), key=_unknown_key)),
        *(
            one.finish(Place(rank=place, held=stays))
            for place, (one, stays) in enumerate(zip(acting, held, strict=True), start=1)
        ),
        *(
            one.finish(
                Place(if_mature=1 + sum(points > (one.order_points or 0) for points in ahead))
            )
            for one in looks
        ),
        *(one.finish(Place()) for one in sorted(_with(open_, Call.WAIT), key=_wait_key)),
    ]


def _calls_beside(drafts: Sequence[Draft]) -> list[FieldCall]:
    """Frozen fields, the soonest look first, then sprayed and picked ones by date."""
    sprays = drafts[0].bench.farm.sprays if drafts else {}

    def by_date(one: Draft) -> tuple[int, datetime, str]:
        place = ("frozen", "sprayed", "picked").index(one.standing)
        if one.standing == "frozen" and one.frozen is not None:
            return place, one.frozen.froze_utc, one.one.name
        moment = sprays[one.one.id].sprayed_utc if one.one.id in sprays else one.bench.now
        return place, moment, one.one.name

    beside = [one for one in drafts if one.standing != "open"]
    return [call_beside(one) for one in sorted(beside, key=by_date)]


def _with(drafts: Sequence[Draft], call: Call) -> list[Draft]:
    return [one for one in drafts if one.verdict.call is call]


def by_cost(drafts: Sequence[Draft], tie: float) -> list[Draft]:
    """Highest cost per rig-hour first; within a tie the earlier spray-by, then the riper field."""
    falling = sorted(drafts, key=lambda one: (-(one.order_points or 0.0), one.one.id))
    ordered: list[Draft] = []
    while falling:
        top = falling[0].order_points or 0.0
        tied = [one for one in falling if top - (one.order_points or 0.0) <= tie]
        ordered.extend(sorted(tied, key=_tie_key))
        falling = falling[len(tied) :]
    return ordered


def _tie_key(draft: Draft) -> tuple[float, float, str]:
    until, bound = spray_by(draft.bench.outlook, draft.row, draft.first_h)
    last = float("inf") if bound == "sight" else until.timestamp() if until else 0.0
    nodes = draft.bench.maturity[draft.one.id].nodes_then
    return last, nodes if nodes is not None else float("inf"), draft.one.id


def _unknown_key(draft: Draft) -> tuple[bool, str, str]:
    mature = draft.bench.maturity[draft.one.id].figures.state == "mature"
    return not mature, draft.verdict.why, draft.one.name


def _wait_key(draft: Draft) -> tuple[object, ...]:
    """Mature fields first, then by the day they should be ready, last those that will not be."""
    figures = draft.bench.maturity[draft.one.id].figures
    day = figures.ready_on or figures.look_again_on or draft.bench.now.date()
    not_ready = draft.verdict.why == "not_ready"
    return (not_ready, figures.ready_on is None, day, draft.one.name)
