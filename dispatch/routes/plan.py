"""A plan of rigs as people and programs read it. Times are UTC; what is not known is None."""

from datetime import date
from typing import Literal
from uuid import UUID

from pydantic import AwareDatetime

from dispatch.field_figures import Figure

StopState = Literal["planned", "under_way", "done"]


class Stop(Figure):
    """One field on a rig's day.

    ``miles`` and ``drive_min`` are of the way to it, by the yard where ``by_yard``. ``fills``
    counts the tanks mixed for it. All of it must be done ``by_utc``, when its window closes.
    ``effect_pct`` is reckoned with; ``worth_ac`` is acres times it. Where not ``full``, the spray
    falls in hours that are only part of a window, and ``lacks`` says what is missing. A stop
    ``under_way`` or ``done`` is as an earlier plan had it; one that is ``locked`` stays with its
    rig, its day and its time. Of a field planned in ``parts`` it is one ``part``, as its name says.
    """

    field_id: str
    field_name: str
    acres: float
    mix_id: str
    arrive_utc: AwareDatetime
    start_utc: AwareDatetime
    end_utc: AwareDatetime
    by_utc: AwareDatetime | None = None
    drive_min: int
    miles: float
    fills: int
    by_yard: bool = False
    cleanout_min: int = 0
    effect_pct: float
    worth_ac: float
    full: bool
    lacks: str = ""
    state: StopState = "planned"
    locked: bool = False
    part: int | None = None
    parts: int | None = None


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
    """A field, or a part of one, that no rig comes to: why, and what would change it."""

    field_id: str
    field_name: str
    acres: float
    why: str
    would_change: str
    part: int | None = None
    parts: int | None = None


class PlannedAt(Figure):
    """Where and when a plan has a field."""

    rig_id: str
    rig_name: str
    on: date
    start_utc: AwareDatetime


class Change(Figure):
    """What a plan does with a field that the plan before it did not: moved, dropped, or new."""

    field_id: str
    field_name: str
    what: Literal["moved", "dropped", "new"]
    before: PlannedAt | None = None
    after: PlannedAt | None = None
    why: str
    part: int | None = None
    parts: int | None = None


class RoutePlan(Figure):
    """The whole plan. ``acres_full`` are those sprayed in full windows, ``worth_ac`` all acres
    times their effect. ``notes`` are sentences about the rigs and the plan.

    A plan that is kept has a ``uuid`` and a ``revision`` that only rises, and says when it was
    ``made_utc``, after which morning (``morning_utc``), and in ``changes`` what it does otherwise
    than the plan before it. ``basis`` is a seal over all that it follows from.
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
    uuid: UUID | None = None
    revision: int = 0
    made_utc: AwareDatetime | None = None
    morning_utc: AwareDatetime | None = None
    basis: str = ""
    changes: tuple[Change, ...] = ()
