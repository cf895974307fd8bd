"""What people report from the field: visits, sprays, harvests. Append-only."""

from datetime import datetime
from uuid import UUID

from pydantic import AwareDatetime, BaseModel, ConfigDict
from pydantic import Field as Bounded


class Visit(BaseModel):
    """One scouting visit. What was not counted is None.

    ``bolls_cut`` are the uppermost harvestable bolls sliced on the main stem, and
    ``vegetative_bolls_cut`` those on vegetative branches, which are judged by cutting only.
    ``windshield`` marks an estimate made from the road.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    uuid: UUID
    field_id: str
    observed_utc: AwareDatetime
    scout: str = Bounded(default="", max_length=80)
    plants_counted: int | None = Bounded(default=None, ge=1, le=1_000)
    nodes_above_cracked_boll: float | None = Bounded(default=None, ge=0, le=25, allow_inf_nan=False)
    percent_open: float | None = Bounded(default=None, ge=0, le=100, allow_inf_nan=False)
    bolls_cut: int | None = Bounded(default=None, ge=0, le=500)
    bolls_cut_mature: int | None = Bounded(default=None, ge=0, le=500)
    vegetative_bolls_cut: int | None = Bounded(default=None, ge=0, le=500)
    vegetative_bolls_mature: int | None = Bounded(default=None, ge=0, le=500)
    windshield: bool = False
    note: str = Bounded(default="", max_length=500)


class Spray(BaseModel):
    """One application of a treatment to a field."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    uuid: UUID
    field_id: str
    sprayed_utc: AwareDatetime
    treatment_id: str
    rig_id: str | None = None
    applicator: str = Bounded(default="", max_length=80)
    note: str = Bounded(default="", max_length=500)


class Harvest(BaseModel):
    """A field, or part of it, picked."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    uuid: UUID
    field_id: str
    harvested_utc: datetime
    acres: float = Bounded(gt=0, le=20_000, allow_inf_nan=False)
