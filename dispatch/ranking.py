"""Every field's call, in the order people act on them.

"Spray first the field that would lose most, for each hour of rig time, if it had to go to the
back of the line; wait only if it would do better even from there."
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import datetime
from zoneinfo import ZoneInfo

from dispatch.bench import Bench
from dispatch.beside_order import call_beside
from dispatch.draft import draft_of
from dispatch.effect import EffectCurve, effect_curve, season_hours
from dispatch.farm_morning import FarmMorning
from dispatch.harvest_room import Picked, harvest_room, picked_by_field
from dispatch.in_order import Settled, calls_beside, calls_in_order
from dispatch.line import Line, line_of
from dispatch.outlook import Outlook
from dispatch.past_freeze import field_after_freeze, forecast_freezes, with_freezes
from dispatch.readiness import Readiness
from dispatch.ready_hours import ready_hours
from dispatch.record_figures import HarvestRoom
from dispatch.report import Call, FieldCall, MorningReport, RunFigures, beside_order
from farm.field import Field
from farm.records import Freeze

#: Version of the rule that makes the calls; it changes when the same inputs may give other calls.
POLICY_VERSION = "3"


def rank_fields(
    farm: FarmMorning,
    outlooks: Iterable[Outlook],
    maturity: Mapping[str, Readiness],
    now: datetime,
    *,
    late: bool = False,
) -> tuple[MorningReport, tuple[Freeze, ...]]:
    """Give every registered field its call, and put the fields in order.

    Parameters
    ----------
    farm
        The farm; its fields are in the order of the outlooks' rows.
    outlooks
        Gates of every field and start hour, some fields after the others: each is let go before
        the next is asked for.
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
    tuple of Freeze
        Killing freezes of this very morning that only a forecast tells of.

    Raises
    ------
    ValueError
        The outlooks have more or fewer rows than there are fields.
    """
    picked = picked_by_field(farm.harvests, farm.sprays)
    sprayed = farm.sprays.keys() | farm.unread
    room = harvest_room(farm.harvest, farm.registered, sprayed, picked)
    line = line_of(_in_line(farm, picked, now), maturity, farm.rigs, farm.policy)
    settled: list[Settled] = []
    freezes: list[Freeze] = []
    for outlook in outlooks:
        some = farm.registered[len(settled) : len(settled) + len(outlook.rows)]
        told = forecast_freezes(replace(farm, registered=some), outlook, now)
        known = with_freezes(replace(farm, registered=some), told)
        curve = _curve(known, outlook, maturity, now)
        settled += _settled(Bench(known, outlook, curve, maturity, line, picked, room, now))
        freezes += told
    if len(settled) != len(farm.registered):
        raise ValueError(
            f"outlooks: got {len(settled)} rows, wanted {len(farm.registered)}, one a field"
        )
    open_ = [one for one in settled if one.call.standing == "open"]
    beside = [one.call for one in settled if one.call.standing != "open"]
    tie = farm.policy.tie_points * line.acres_per_rig_hour
    calls = (
        *calls_in_order(open_, tie, room, now.date()),
        *calls_beside(beside, farm.sprays, now),
    )
    run = _run_figures(farm, calls, line, room, now, late=late)
    return MorningReport(run=run, fields=calls), tuple(freezes)


def _curve(
    farm: FarmMorning, outlook: Outlook, maturity: Mapping[str, Readiness], now: datetime
) -> EffectCurve:
    hours = season_hours(outlook, farm.policy)
    ready = ready_hours(maturity, farm.registered, farm.rules, farm.policy, now, hours)
    return effect_curve(outlook, farm.registered, farm.rules, ready, farm.policy)


def _settled(bench: Bench) -> Iterator[Settled]:
    """The call of each field on the bench."""
    for row, one in enumerate(bench.farm.registered):
        draft = draft_of(bench, row, one)
        call = draft.finish() if draft.standing == "open" else call_beside(draft)
        nodes_then = bench.maturity[one.id].nodes_then
        yield Settled(call, draft.verdict.why, draft.order_points, nodes_then)


def _run_figures(
    farm: FarmMorning,
    calls: Collection[FieldCall],
    line: Line,
    room: HarvestRoom | None,
    now: datetime,
    *,
    late: bool,
) -> RunFigures:
    beside = beside_order(calls)
    return RunFigures(
        farm_name=farm.name,
        time_zone=farm.time_zone,
        made_utc=now,
        local_date=now.astimezone(ZoneInfo(farm.time_zone)).date(),
        fields=len(farm.registered),
        counts={call: sum(one.call is call for one in calls) for call in Call},
        sprayed=beside["sprayed"],
        frozen=beside["frozen"],
        picked=beside["picked"],
        held=beside["held"],
        harvest=room,
        queue_days=line.days,
        queue_rig_hours=round(line.rig_hours, 2),
        usable_rig_hours_a_day=line.usable_rig_hours_a_day,
        rigs=len(farm.rigs),
        span_h=farm.policy.decision_span_h,
        policy_version=POLICY_VERSION,
        late=late,
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
