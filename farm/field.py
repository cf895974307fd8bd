"""A field of cotton as the consultant registered it."""

from datetime import date
from typing import Self

from pydantic import BaseModel, ConfigDict, model_validator
from pydantic import Field as Bounded

Ring = tuple[tuple[float, float], ...]


class Field(BaseModel):
    """One registered field.

    ``outline`` holds the outer ring as (longitude, latitude) pairs, or None for a field
    given as a point; ``latitude`` and ``longitude`` are a point inside it. A rig comes to
    ``entry_latitude`` and ``entry_longitude``, its gate, where they are entered.
    ``sensitive`` is what lies beside it that drift would hurt, in the user's words.
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
    entry_latitude: float | None = Bounded(default=None, ge=-90, le=90, allow_inf_nan=False)
    entry_longitude: float | None = Bounded(default=None, ge=-180, le=180, allow_inf_nan=False)
    sensitive: str | None = Bounded(default=None, min_length=1, max_length=200)

    @model_validator(mode="after")
    def _whole_entry(self) -> Self:
        if (self.entry_latitude is None) != (self.entry_longitude is None):
            given, other = "entry_latitude", "entry_longitude"
            if self.entry_latitude is None:
                given, other = other, given
            raise ValueError(f"got {given} alone, wanted {other} beside it; add it")
        return self

    @property
    def entry(self) -> tuple[float, float]:
        """Latitude and longitude rigs come to: the gate, or else the field's own point."""
        if self.entry_latitude is None or self.entry_longitude is None:
            return self.latitude, self.longitude
        return self.entry_latitude, self.entry_longitude
