"""An address of a calendar that the board keeps up to date."""

from typing import Literal

from pydantic import BaseModel, ConfigDict
from pydantic import Field as Bounded

FeedKind = Literal["windows", "rigs"]


class Feed(BaseModel):
    """Whose calendar it is, and what it tells.

    ``of_account`` is False where it belongs to the one person at this machine, who has no account.
    ``rig_id`` is the one rig it tells of, "" for all.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    owner: str = Bounded(min_length=1, max_length=40)
    of_account: bool
    kind: FeedKind
    rig_id: str = Bounded(default="", max_length=64)
