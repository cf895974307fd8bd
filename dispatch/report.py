"""What a morning decides: one call for every registered field, with everything behind it.

This is what the digest, the JSON, the stored plan and `explain` are all made from. Numbers that
are not known are None.
"""

from collections import Counter
from collections.abc import Collection
from datetime import date
from enum import StrEnum
from typing import Literal, TypedDict

from pydantic import AwareDatetime

from dispatch.alert_figures import FreezeAlertFigures
from dispatch.field_figures import (
    ComingDay,
    Factors,
    Figure,
    FollowUp,
    ForecastFigures,
    FreezeFigures,
    GivenUpBy,
    HourStrip,
    MaturityFigures,
    SeasonNight,
    SeasonStrip,
    SprayHour,
    VisitGain,
    Window,
)
from dispatch.further_figures import FurtherFigures
from dispatch.own_error_figures import OwnErrorFigures
from dispatch.record_figures import AfterFreeze, HarvestRoom
from farm.field import Field

__all__ = [
    "AfterFreeze",
    "Call",
    "ComingDay",
    "Factors",
    "FieldCall",
    "FollowUp",
    "ForecastFigures",
    "FreezeAlertFigures",
    "FreezeFigures",
    "FurtherFigures",
    "GivenUpBy",
    "HarvestRoom",
    "HourStrip",
    "MaturityFigures",
    "MorningReport",
    "RunFigures",
    "SeasonNight",
    "SeasonStrip",
    "SprayHour",
    "Standing",
    "VisitGain",
    "Window",
]

#: How a field stands to the order: in it, or on one of the lists beside it.
Standing = Literal["open", "frozen", "sprayed", "picked"]


class Call(StrEnum):
    """What to do with a field today."""

    SPRAY = "spray"
    SHORT = "short"
    LOOK = "look"
    WAIT = "wait"
    UNKNOWN = "unknown"


class FieldCall(Figure):
    """One field's call. ``rank`` counts spray and short fields from 1, in one order.

    ``place_if_mature`` is the rank a field to walk would take if it were found mature.
    ``reasons`` are whole sentences, the deciding ones first; ``because`` holds those of them that
    say more than the figures of this record.

    ``heat_units_14d_f_days`` counts days past the forecast's end at the season's normal where
    ``heat_14d_on_climate``. ``leaf_drop_expected_on`` is the day leaf drop should be full if
    sprayed at the hour the call rests on. ``spray_now_costs_crop_pct`` is the share of the crop
    given up by spraying before it is done, told by the nodes (an upper bound) or by percent
    open, ``waiting_costs_crop_pct`` that given up by going to the back of the line, below 0
    where waiting gains; neither has a part in any call.

    ``after_freeze`` is set while a killing freeze holds the field, or has hit it since its spray,
    ``picked_on`` once all of it is picked. ``held_for_harvest`` marks a place in the order that
    the harvest has no room for today.

    ``alerts`` are those in force, ``alerts_problem`` why they are not known, or not all.
    ``further`` is what another source sees past the forecast. Neither has a part in any call.
    """

    field: Field
    grower_name: str = ""
    treatment_name: str = ""
    call: Call
    rank: int | None = None
    effect_pct: float | None = None
    back_of_line_pct: float | None = None
    back_of_line_on: date | None = None
    cost_pct: float | None = None
    acres_lost: float | None = None
    order_points: float | None = None
    rig_hours: float
    windows: tuple[Window, ...] = ()
    spray_by_utc: AwareDatetime | None = None
    spray_by_bound: Literal["freeze", "weather", "sight"] | None = None
    freeze: FreezeFigures = FreezeFigures()
    rain_free_h: float | None = None
    rain_free_needed_h: float
    heat_units_7d_f_days: float | None = None
    maturity: MaturityFigures
    forecast: ForecastFigures
    follow_up: FollowUp | None = None
    wait_until: date | None = None
    factors_now: Factors | None = None
    factors_back: Factors | None = None
    strip: HourStrip | None = None
    season: SeasonStrip | None = None
    place_if_mature: int | None = None
    visit_gain: VisitGain | None = None
    heat_units_14d_f_days: float | None = None
    heat_14d_on_climate: bool = False
    leaf_drop_expected_on: date | None = None
    spray_now_costs_crop_pct: float | None = None
    spray_now_costs_by: GivenUpBy | None = None
    waiting_costs_crop_pct: float | None = None
    after_freeze: AfterFreeze | None = None
    picked_on: date | None = None
    held_for_harvest: bool = False
    alerts: tuple[FreezeAlertFigures, ...] = ()
    alerts_problem: str = ""
    further: FurtherFigures | None = None
    because: tuple[str, ...] = ()
    reasons: tuple[str, ...] = ()
    to_do: str = ""

    @property
    def standing(self) -> Standing:
        """How the field stands to the order; what is picked is no longer sprayed or frozen."""
        if self.picked_on is not None:
            return "picked"
        if self.follow_up is not None:
            return "sprayed"
        return "open" if self.after_freeze is None else "frozen"


class RunFigures(Figure):
    """The morning itself: when, for whom, how long the line is.

    ``late`` marks a morning made after the deadline of its digests. ``stop`` says why no field is
    called at all, "" where they are. ``harvest`` is None where the harvest's pace was not entered,
    ``own_low_errors`` where no errors of the farm's own were kept.
    """

    farm_name: str
    time_zone: str
    made_utc: AwareDatetime
    local_date: date
    fields: int
    counts: dict[Call, int]
    sprayed: int
    frozen: int = 0
    picked: int = 0
    held: int = 0
    harvest: HarvestRoom | None = None
    queue_days: int
    queue_rig_hours: float
    usable_rig_hours_a_day: float
    rigs: int
    span_h: int
    policy_version: str
    late: bool = False
    own_low_errors: OwnErrorFigures | None = None
    stop: str = ""


class MorningReport(Figure):
    """Everything a morning says, fields in the order people read them.

    Unknown first, then spray and short by rank, look, wait, and last the fields beside the order,
    whose call is wait: frozen, sprayed, picked.
    """

    run: RunFigures
    fields: tuple[FieldCall, ...]

    def with_call(self, *calls: Call) -> tuple[FieldCall, ...]:
        """The fields in the order that have one of ``calls``."""
        return tuple(one for one in self.standing("open") if one.call in calls)

    def to_act_on(self) -> tuple[FieldCall, ...]:
        """The fields to spray now: in the order, and the harvest has room for them."""
        called = self.with_call(Call.SPRAY, Call.SHORT)
        return tuple(one for one in called if not one.held_for_harvest)

    def held(self) -> tuple[FieldCall, ...]:
        """The fields of the order that the harvest has no room for today."""
        return tuple(one for one in self.fields if one.held_for_harvest)

    def standing(self, standing: Standing) -> tuple[FieldCall, ...]:
        """The fields that stand so, in order."""
        return tuple(one for one in self.fields if one.standing == standing)

    def only(self, grower_ids: frozenset[str]) -> "MorningReport":
        """The same morning with the fields of some growers only."""
        kept = tuple(one for one in self.fields if one.field.grower_id in grower_ids)
        counts = {call: sum(one.call is call for one in kept) for call in Call}
        beside = beside_order(kept)
        figures = self.run.model_copy(update={"fields": len(kept), "counts": counts, **beside})
        return MorningReport(run=figures, fields=kept)


class Beside(TypedDict):
    """How many fields stand on each list beside the order, and how many of it are held."""

    frozen: int
    sprayed: int
    picked: int
    held: int


def beside_order(fields: Collection[FieldCall]) -> Beside:
    """How many fields stand beside the order, by list, and how many of it are held."""
    standing = Counter(one.standing for one in fields)
    return Beside(
        frozen=standing["frozen"],
        sprayed=standing["sprayed"],
        picked=standing["picked"],
        held=sum(one.held_for_harvest for one in fields),
    )
