"""Whether somebody may be written to: what they said, when, and how it reached us."""

import hashlib
from typing import Literal
from uuid import UUID

from pydantic import AwareDatetime, BaseModel, ConfigDict
from pydantic import Field as Bounded

#: Ways a message goes.
ChannelName = Literal["mail", "sms"]


class Consent(BaseModel):
    """One word of one person on one address: "stop", or "allow" (also again, after a stop).

    The address itself is not kept: ``address_key`` finds it again, ``address_masked`` lets a
    person recognise it. ``how`` says how it was told, ``told_by`` who entered it where the
    person did not do so themselves.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    uuid: UUID
    channel: ChannelName
    address_key: str = Bounded(min_length=64, max_length=64)
    address_masked: str = Bounded(max_length=200)
    word: Literal["stop", "allow"]
    told_utc: AwareDatetime
    how: str = Bounded(min_length=1, max_length=200)
    told_by: str = Bounded(default="", max_length=80)
    person_id: str = Bounded(default="", max_length=64)


def address_key(channel: str, address: str) -> str:
    """What finds an address again: the same however its letters or spaces were written.

    A digest, so that a list of stops is no list of addresses. It hides them from a reader, not
    from somebody who tries every telephone number.
    """
    plain = "".join(address.split()).casefold()
    return hashlib.sha256(f"warmspell:{channel}:{plain}".encode()).hexdigest()
