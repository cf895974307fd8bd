"""Somebody asks that a field be looked at again."""

from uuid import UUID

from pydantic import AwareDatetime, BaseModel, ConfigDict
from pydantic import Field as Bounded


class LookRequest(BaseModel):
    """A wish to have a field walked again, by the id of the person who asked."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    uuid: UUID
    field_id: str
    asked_utc: AwareDatetime
    person_id: str = Bounded(default="", max_length=64)
    note: str = Bounded(default="", max_length=500)
