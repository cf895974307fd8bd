"""What people report while a plan of rigs is driven."""

from typing import Literal, Self
from uuid import UUID

from pydantic import AwareDatetime, BaseModel, ConfigDict, model_validator
from pydantic import Field as Bounded

NoteKind = Literal["skip", "missed", "part_done", "part_not_done", "rig_out", "rig_back"]


class RouteNote(BaseModel):
    """One report about a field or a rig. The latest of a field, or of a rig, holds.

    ``skip`` leaves a field out of the plans, until ``until_utc`` if that is told. ``missed`` says
    that a field was not sprayed when it was planned, or that it is skipped no more. ``rig_out``
    takes a rig away from ``from_utc`` on, until ``until_utc`` if that is told; ``rig_back`` brings
    it back at ``from_utc``. ``part_done`` says that a ``part`` of a field planned in ``parts`` was
    sprayed at ``from_utc``; ``part_not_done`` takes that back.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    uuid: UUID
    kind: NoteKind
    noted_utc: AwareDatetime
    field_id: str | None = Bounded(default=None, max_length=64)
    rig_id: str | None = Bounded(default=None, max_length=64)
    from_utc: AwareDatetime | None = None
    until_utc: AwareDatetime | None = None
    why: str = Bounded(default="", max_length=200)
    part: int | None = Bounded(default=None, ge=1, le=9)
    parts: int | None = Bounded(default=None, ge=2, le=9)

    @model_validator(mode="after")
    def _of_one(self) -> Self:
        of_rig = self.kind in ("rig_out", "rig_back")
        if of_rig != (self.rig_id is not None) or of_rig == (self.field_id is not None):
            wanted = "rig_id alone" if of_rig else "field_id alone"
            raise ValueError(f"{self.kind}: wanted {wanted}")
        of_part = self.kind in ("part_done", "part_not_done")
        if of_part != (self.part is not None and self.parts is not None):
            raise ValueError(f"{self.kind}: wanted {'part and parts' if of_part else 'no part'}")
        if self.from_utc is None and (of_rig or self.kind == "part_done"):
            raise ValueError(f"{self.kind}: from_utc is missing")
        return self
