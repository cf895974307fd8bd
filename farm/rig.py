"""A sprayer."""

from typing import Literal

from pydantic import BaseModel, ConfigDict
from pydantic import Field as Bounded


class Rig(BaseModel):
    """One sprayer with what it covers in an hour of spraying, turning included."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: str = Bounded(min_length=1, max_length=64)
    name: str = Bounded(min_length=1, max_length=80)
    kind: Literal["ground", "air"] = "ground"
    speed_mph: float = Bounded(gt=0, le=200, allow_inf_nan=False)
    swath_ft: float = Bounded(gt=0, le=200, allow_inf_nan=False)
    efficiency_frac: float = Bounded(default=0.65, gt=0, le=1, allow_inf_nan=False)
    tank_gal: float | None = Bounded(default=None, gt=0, le=5_000, allow_inf_nan=False)
    refill_min: float | None = Bounded(default=None, ge=0, le=240, allow_inf_nan=False)
