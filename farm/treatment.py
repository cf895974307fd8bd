"""A harvest-aid mix with the numbers its label gives."""

from pydantic import BaseModel, ConfigDict
from pydantic import Field as Bounded


class Treatment(BaseModel):
    """One tank mix.

    ``rain_free_h``, ``reentry_h`` and ``preharvest_days`` come from the label in the user's
    hand: they are entered, never supplied by us.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: str = Bounded(min_length=1, max_length=64)
    name: str = Bounded(min_length=1, max_length=80)
    ingredients: tuple[str, ...] = ()
    rain_free_h: float = Bounded(gt=0, le=96, allow_inf_nan=False)
    reentry_h: float | None = Bounded(default=None, ge=0, le=720, allow_inf_nan=False)
    preharvest_days: float | None = Bounded(default=None, ge=0, le=90, allow_inf_nan=False)
    gallons_per_acre: float | None = Bounded(default=None, gt=0, le=60, allow_inf_nan=False)
