"""What people report from the field: visits, sprays, harvests, freezes. Append-only."""

from typing import Annotated, Literal, Self
from uuid import UUID

from pydantic import AwareDatetime, BaseModel, ConfigDict, model_validator
from pydantic import Field as Bounded

from farm.visit_counts import settled_counts

Nodes = Annotated[float, Bounded(ge=0, le=25, allow_inf_nan=False)]
Stage = Annotated[int, Bounded(ge=1, le=12)]


class Visit(BaseModel):
    """One scouting visit. What was not counted is None.

    ``bolls_cut`` are the uppermost harvestable bolls sliced on the main stem, and
    ``vegetative_bolls_cut`` those on vegetative branches, which are judged by cutting only.
    ``windshield`` marks an estimate made from the road.

    ``plant_nodes`` are the nodes above cracked boll of each plant, ``bolls_open`` and
    ``bolls_closed`` the harvestable bolls counted, ``cut_stages`` the stage of each cut boll on
    the 12-step picture scale. Where they are given, the mean, the share and the cut test are
    worked out from them, and figures that do not fit them are refused. ``plants_per_ft`` is the
    stand [plants per foot of row], ``fruiting_gap`` a run of nodes without bolls.
    ``leaf_drop_pct`` is the share of the leaves that are off after a spray.
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
    plant_nodes: tuple[Nodes, ...] = Bounded(default=(), max_length=1_000)
    bolls_open: int | None = Bounded(default=None, ge=0, le=20_000)
    bolls_closed: int | None = Bounded(default=None, ge=0, le=20_000)
    cut_stages: tuple[Stage, ...] = Bounded(default=(), max_length=500)
    fruiting_gap: bool = False
    plants_per_ft: float | None = Bounded(default=None, ge=0.1, le=20, allow_inf_nan=False)
    leaf_drop_pct: float | None = Bounded(default=None, ge=0, le=100, allow_inf_nan=False)

    @model_validator(mode="after")
    def _work_out(self) -> Self:
        figures, problems = settled_counts(
            plant_nodes=self.plant_nodes,
            plants_counted=self.plants_counted,
            nodes_above_cracked_boll=self.nodes_above_cracked_boll,
            bolls_open=self.bolls_open,
            bolls_closed=self.bolls_closed,
            percent_open=self.percent_open,
            cut_stages=self.cut_stages,
            bolls_cut=self.bolls_cut,
            bolls_cut_mature=self.bolls_cut_mature,
            windshield=self.windshield,
        )
        if problems:
            raise ValueError("; ".join(f"{name}: {told}" for name, told in problems))
        for name, figure in figures.items():
            # A frozen model lets nobody else in, and this is still its making.
            object.__setattr__(self, name, figure)
        return self


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
    """A field, or part of it, picked. ``acres`` are those picked in this pass."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    uuid: UUID
    field_id: str
    harvested_utc: AwareDatetime
    acres: float = Bounded(gt=0, le=20_000, allow_inf_nan=False)
    note: str = Bounded(default="", max_length=500)


class Freeze(BaseModel):
    """A freeze that hit a field. ``froze_utc`` is the moment of its low.

    ``low_f`` is the low at the field [F], None where it is not known and the freeze is reported
    as a killing one. ``told_by`` says whether a person reported it or a forecast of that very
    night showed it, which nobody has confirmed.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    uuid: UUID
    field_id: str
    froze_utc: AwareDatetime
    low_f: float | None = Bounded(default=None, ge=-40, le=36, allow_inf_nan=False)
    told_by: Literal["person", "forecast"] = "person"
    reporter: str = Bounded(default="", max_length=80)
    note: str = Bounded(default="", max_length=500)


class FreezeInspection(BaseModel):
    """What a look at a frozen field found, and what the person who looked decided.

    ``leaves`` is the thump test: whether leaves fall when they are flicked. ``bolls_dead`` are
    those of the ``bolls_cut`` that are brown inside. ``found`` "alive" puts the field back in the
    order, "killed" takes it out of it for the season, "unclear" asks for another look.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    uuid: UUID
    field_id: str
    inspected_utc: AwareDatetime
    found: Literal["alive", "killed", "unclear"]
    leaves: Literal["fall", "hold", "not_looked"] = "not_looked"
    bolls_cut: int | None = Bounded(default=None, ge=1, le=500)
    bolls_dead: int | None = Bounded(default=None, ge=0, le=500)
    inspector: str = Bounded(default="", max_length=80)
    note: str = Bounded(default="", max_length=500)

    @model_validator(mode="after")
    def _dead_of_cut(self) -> Self:
        if self.bolls_dead is not None and self.bolls_dead > (self.bolls_cut or 0):
            raise ValueError(
                f"bolls_dead: got {self.bolls_dead}, wanted at most the bolls cut "
                f"({self.bolls_cut or 0}); correct one of them"
            )
        return self
