"""A sprayer."""

from datetime import time
from typing import Literal, Self

from pydantic import BaseModel, ConfigDict, model_validator
from pydantic import Field as Bounded

RigKind = Literal["ground", "air"]
Weekday = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]

#: Speed between fields where none is entered [mph]: on the road, and through the air. Judgement.
TRAVEL_MPH: dict[RigKind, float] = {"ground": 20.0, "air": 120.0}


class Rig(BaseModel):
    """One sprayer with what it covers in an hour of spraying, turning included.

    It works from ``day_start`` to ``day_end`` by the farm's clock, leaves its yard and comes back
    within them. It fills ``refill_at`` the field from a nurse truck that goes along, or drives
    back to the yard. ``drivers`` are those who may drive it; none named, anybody may.
    ``no_cleanout`` holds pairs of treatments of which the second may follow the first as it is;
    every other change of mix takes ``cleanout_min``.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: str = Bounded(min_length=1, max_length=64)
    name: str = Bounded(min_length=1, max_length=80)
    kind: RigKind = "ground"
    speed_mph: float = Bounded(gt=0, le=200, allow_inf_nan=False)
    swath_ft: float = Bounded(gt=0, le=200, allow_inf_nan=False)
    efficiency_frac: float = Bounded(default=0.65, gt=0, le=1, allow_inf_nan=False)
    tank_gal: float | None = Bounded(default=None, gt=0, le=5_000, allow_inf_nan=False)
    refill_min: float | None = Bounded(default=None, ge=0, le=240, allow_inf_nan=False)
    refill_at: Literal["field", "yard"] = "field"
    yard_latitude: float | None = Bounded(default=None, ge=-90, le=90, allow_inf_nan=False)
    yard_longitude: float | None = Bounded(default=None, ge=-180, le=180, allow_inf_nan=False)
    road_mph: float | None = Bounded(default=None, gt=0, le=300, allow_inf_nan=False)
    day_start: time = time(7, 0)
    day_end: time = time(20, 0)
    days_off: tuple[Weekday, ...] = ()
    drivers: tuple[str, ...] = ()
    cleanout_min: float = Bounded(default=30.0, ge=0, le=480, allow_inf_nan=False)
    no_cleanout: tuple[tuple[str, str], ...] = ()

    @model_validator(mode="after")
    def _whole_yard_and_day(self) -> Self:
        if (self.yard_latitude is None) != (self.yard_longitude is None):
            raise ValueError(
                "got one of yard_latitude and yard_longitude, wanted both or neither; add the other"
            )
        if self.day_end <= self.day_start:
            raise ValueError(
                f'day_end is "{self.day_end:%H:%M}", wanted after day_start '
                f'"{self.day_start:%H:%M}"; make it later'
            )
        return self

    @property
    def travel_mph(self) -> float:
        """Speed between fields [mph]."""
        return self.road_mph or TRAVEL_MPH[self.kind]
