"""A plan of rigs as people and programs read it. Times are UTC; what is not known is None."""

from datetime import date
from typing import Literal

from pydantic import AwareDatetime

from dispatch.field_figures import Figure


class Stop(Figure):
    """One field on a rig's day.

    ``miles`` and ``drive_min`` are of the way to it, by the yard where ``by_yard``. ``fills``
    counts the tanks mixed for it. ``effect_pct`` is reckoned with; ``worth_ac`` is acres times
    it. Where not ``full``, the spray falls in hours that are only part of a window, and ``lacks``
    says what is missing.
    """

    field_id: str
    field_name: str
    acres: float
    mix_id: str
    arrive_utc: AwareDatetime
    start_utc: AwareDatetime
    end_utc: AwareDatetime
    drive_min: int
    miles: float
    fills: int
    by_yard: bool = False
    cleanout_min: int = 0
    effect_pct: float
    worth_ac: float
    full: bool
    lacks: str = ""


class PlannedDay(Figure):
    """One rig on one local day, from leaving its yard to coming back."""

    rig_id: str
    rig_name: str
    driver: str | None = None
    on: date
    leave_utc: AwareDatetime
    back_utc: AwareDatetime
    stops: tuple[Stop, ...]
    miles: float
    acres: float


class LeftOut(Figure):
    """A field no rig comes to: why, and what would change it."""

    field_id: str
    field_name: str
    acres: float
    why: str
    would_change: str


class RoutePlan(Figure):
    """The whole plan. ``acres_full`` are those sprayed in full windows, ``worth_ac`` all acres
    times their effect. ``notes`` are sentences about the rigs and the plan.
    """

    start_utc: AwareDatetime
    time_zone: str
    method: Literal["searched", "greedy"]
    days: tuple[PlannedDay, ...]
    left_out: tuple[LeftOut, ...] = ()
    notes: tuple[str, ...] = ()
    fields: int
    acres: float
    acres_full: float
    worth_ac: float
    miles: float
