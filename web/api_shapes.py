"""What the board answers to programs: the figures of its pages. What is not known is null."""

from datetime import date
from typing import Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field

from dispatch.field_figures import (
    Factors,
    FollowUp,
    ForecastFigures,
    FreezeFigures,
    MaturityFigures,
    Window,
)
from dispatch.report import Standing
from web.rig_standing import StopMark

ToldCall = Literal["spray", "short", "look", "wait", "unknown", "overtaken"]


class Answer(BaseModel):
    """A record that says all its fields."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Problem(Answer):
    """Why there is no answer."""

    problem: str


class FieldAnswer(Answer):
    """One field's call and the figures behind it, as of the morning.

    A call that does not stand any more is told as "overtaken", says why in `overtaken`, and has
    neither rank nor windows.
    """

    field_id: str
    name: str
    grower_id: str
    grower: str
    acres: float
    time_zone: str
    treatment_id: str
    treatment: str
    call: ToldCall
    overtaken: str
    standing: Standing
    held_for_harvest: bool
    rank: int | None
    place_if_mature: int | None
    effect_pct: float | None
    back_of_line_pct: float | None
    back_of_line_on: date | None
    cost_pct: float | None
    acres_lost: float | None
    order_points: float | None
    rig_hours: float | None
    windows: tuple[Window, ...]
    spray_by_utc: AwareDatetime | None
    wait_until: date | None
    rain_free_h: float | None
    rain_free_needed_h: float | None
    heat_units_7d_f_days: float | None
    freeze: FreezeFigures
    maturity: MaturityFigures
    forecast: ForecastFigures
    follow_up: FollowUp | None
    factors_now: Factors | None
    factors_back: Factors | None
    reasons: tuple[str, ...]
    to_do: str


class OrderAnswer(Answer):
    """The order of a morning: `fields` from `first` on, of `total` there are.

    Where it is not `of_today`, no call of it stands.
    """

    farm: str
    made_utc: AwareDatetime | None
    local_date: date | None
    of_today: bool
    late: bool
    stop: str
    queue_days: int | None
    counts: dict[ToldCall, int]
    total: int = Field(ge=0)
    first: int = Field(ge=0)
    fields: tuple[FieldAnswer, ...]


class AfterAnswer(Answer):
    """The fields beside the order."""

    made_utc: AwareDatetime | None
    sprayed: tuple[FieldAnswer, ...]
    frozen: tuple[FieldAnswer, ...]
    picked: tuple[FieldAnswer, ...]


class StopAnswer(Answer):
    """One stop of a rig; `standing` is how it stands now, `why` says why where not as planned."""

    rig_id: str
    rig_name: str
    on: date
    field_id: str
    field_name: str
    acres: float | None
    start_utc: AwareDatetime
    end_utc: AwareDatetime
    full: bool
    locked: bool
    standing: StopMark
    why: str


class LeftOutAnswer(Answer):
    """A field no rig comes to."""

    field_id: str
    field_name: str
    why: str
    would_change: str


class RigsAnswer(Answer):
    """The plan of the rigs kept last. Growers get the stops at their own fields alone."""

    revision: int | None
    made_utc: AwareDatetime | None
    morning_utc: AwareDatetime | None
    of_newest_morning: bool
    stops: tuple[StopAnswer, ...]
    left_out: tuple[LeftOutAnswer, ...]


class SourceAnswer(Answer):
    """A source of forecasts: how many fields it judged, and the age of its oldest issue now."""

    source: str
    fields: int
    oldest_issued_utc: AwareDatetime | None
    oldest_age_h: float | None
    problems: tuple[str, ...]


class HealthAnswer(Answer):
    """Whether there is a morning of today, and how its forecasts are by now."""

    now_utc: AwareDatetime
    made_utc: AwareDatetime | None
    local_date: date | None
    of_today: bool
    late: bool
    fields: int
    not_known: int
    overtaken: int
    sources: tuple[SourceAnswer, ...]
