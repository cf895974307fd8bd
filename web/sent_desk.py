"""What the page of messages asks of the farm, and what a watcher outside asks."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal, Protocol

from farm.delivery_report import DeliveryReport
from storage.message_states import MessageState

#: How a day's morning came out; "due" while it is still to be made, "" where none was to be.
MorningState = Literal["sent", "missed", "due", ""]


@dataclass(frozen=True)
class Contact:
    """One address of one person, masked, and the word that counts for it.

    ``set_up`` says whether the farm has that channel at all. ``word`` is "allow" or "stop", None
    where none was ever said; ``why_not`` says why nothing may be sent, "" where it may.
    """

    person_id: str
    name: str
    role: str
    channel: str
    address: str
    set_up: bool
    word: str | None
    since_utc: datetime | None
    how: str
    told_by: str
    why_not: str


@dataclass(frozen=True)
class Look:
    """What was found where something was looked at: "OK", "LOOK" or "FAULT", and in words."""

    name: str
    word: str
    told: str


@dataclass(frozen=True)
class WorkerState:
    """The last morning that began, and when the next is due; ``late`` marks one overdue now."""

    last_on: date | None
    began_utc: datetime | None
    ended_utc: datetime | None
    outcome: str
    next_utc: datetime
    late: bool


class SentDesk(Protocol):
    """Who was told what, and whether what tells them is well."""

    def messages(self, first: date, last: date) -> Sequence[MessageState]:
        """Every message of some local dates, in the order planned."""
        ...

    def reports(self, since_utc: datetime) -> Sequence[DeliveryReport]:
        """What gateways told later of messages they had taken."""
        ...

    def morning(self, on: date) -> MorningState:
        """How the morning of a date came out."""
        ...

    def past_deadline(self, on: date, moment_utc: datetime) -> bool:
        """Whether everybody should have had the digest of a date by a moment."""
        ...

    def contacts(self) -> Sequence[Contact]:
        """Every address of every person."""
        ...

    def worker(self) -> WorkerState:
        """Who makes the mornings, and when."""
        ...

    def looks(self) -> Sequence[Look]:
        """What the mornings stand on, as far as this machine can tell without asking anybody."""
        ...

    def ailing(self) -> str:
        """One word that says what is wrong with the mornings; "" where nothing is."""
        ...
