"""Growers, who own fields, and people, who get digests."""

from enum import StrEnum

from pydantic import BaseModel, ConfigDict
from pydantic import Field as Bounded


class Grower(BaseModel):
    """Who owns the crop on some fields."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: str = Bounded(min_length=1, max_length=64)
    name: str = Bounded(min_length=1, max_length=80)


class Role(StrEnum):
    """What a person does here; it decides what their digest holds."""

    OPERATOR = "operator"
    CONSULTANT = "consultant"
    DISPATCHER = "dispatcher"
    GROWER = "grower"


class Person(BaseModel):
    """One recipient. A grower's person sees the fields of ``grower_ids`` and no other."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: str = Bounded(min_length=1, max_length=64)
    name: str = Bounded(min_length=1, max_length=80)
    role: Role
    email: str | None = None
    phone: str | None = None
    grower_ids: tuple[str, ...] = ()
