"""A field of cotton as the consultant registered it."""

from datetime import date

from pydantic import BaseModel, ConfigDict
from pydantic import Field as Bounded

Ring = tuple[tuple[float, float], ...]


class Field(BaseModel):
    """One registered field.

    ``outline`` holds the outer ring as (longitude, latitude) pairs, or None for a field
    given as a point; ``latitude`` and ``longitude`` are a point inside it.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: str = Bounded(min_length=1, max_length=64)
    name: str = Bounded(min_length=1, max_length=80)
    grower_id: str
    latitude: float = Bounded(ge=-90, le=90, allow_inf_nan=False)
    longitude: float = Bounded(ge=-180, le=180, allow_inf_nan=False)
    acres: float = Bounded(gt=0, le=20_000, allow_inf_nan=False)
    time_zone: str
    region: str | None = None
    treatment_id: str
    planted_on: date | None = None
    cold_spot_f: float = Bounded(default=0.0, ge=0, le=15, allow_inf_nan=False)
    outline: Ring | None = None
