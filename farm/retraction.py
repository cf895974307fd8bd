"""A record that was entered wrongly, taken back by a record of its own."""

from typing import Literal
from uuid import UUID, uuid5

from pydantic import AwareDatetime, BaseModel, ConfigDict
from pydantic import Field as Bounded

#: What can be taken back.
Kind = Literal["visit", "spray", "harvest", "freeze", "inspection"]


class Retraction(BaseModel):
    """Somebody takes back a record: it stays where it is, and nothing is concluded from it.

    ``of_uuid`` is the record's, and ``field_id`` its field. There is no way back from a
    retraction: what was right after all is entered anew.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    uuid: UUID
    field_id: str
    retracted_utc: AwareDatetime
    kind: Kind
    of_uuid: UUID
    by: str = Bounded(default="", max_length=80)
    why: str = Bounded(default="", max_length=500)


def retraction_uuid(of_uuid: UUID) -> UUID:
    """The uuid of a record's retraction: one for each record, so that it is taken back once."""
    return uuid5(of_uuid, "taken back")


def entered_anew(uuid: UUID, taken_back: "frozenset[UUID]") -> UUID:
    """The uuid of a record whose uuid is made from its content, where that was taken back before.

    The same content again is then another record, and typed twice it is still one.
    """
    while uuid in taken_back:
        uuid = uuid5(uuid, "entered anew")
    return uuid
