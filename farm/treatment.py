"""A harvest-aid mix with the numbers its label gives."""

from pydantic import BaseModel, ConfigDict
from pydantic import Field as Bounded


class Treatment(BaseModel):
    """One tank mix.

    ``reentry_h`` and ``preharvest_days`` come from the label in the user's hand: they are
    entered, never supplied by us, and so is ``rain_free_h`` unless a source prints it for every
    ingredient. ``rain_free_source`` is "label" or that source. For a mix each is the longest of
    its products' (re-entry: 40 CFR 170.112, text of 2007, since renumbered).
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: str = Bounded(min_length=1, max_length=64)
    name: str = Bounded(min_length=1, max_length=80)
    ingredients: tuple[str, ...] = ()
    rain_free_h: float = Bounded(gt=0, le=96, allow_inf_nan=False)
    rain_free_source: str = "label"
    reentry_h: float | None = Bounded(default=None, ge=0, le=720, allow_inf_nan=False)
    preharvest_days: float | None = Bounded(default=None, ge=0, le=90, allow_inf_nan=False)
    gallons_per_acre: float | None = Bounded(default=None, gt=0, le=60, allow_inf_nan=False)
