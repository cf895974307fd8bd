"""A message as the outbox holds it."""

from dataclasses import dataclass, field
from datetime import date, datetime


@dataclass(frozen=True)
class Delivery:
    """One row of the outbox.

    ``state`` is "pending", "sending", "sent", "failed" or "suppressed". ``attempt`` counts
    claims. ``in_doubt`` stays True once an attempt ended without an answer: the message may have
    gone out before. ``claimed_utc`` is the time of the last claim or failure.
    """

    id: int
    person_id: str
    local_date: date
    kind: str
    revision: int
    channel: str
    address_masked: str
    message_id: str
    subject: str
    payload: bytes = field(repr=False)
    state: str
    attempt: int
    in_doubt: bool
    permanent: bool
    worker: str | None
    planned_utc: datetime
    claimed_utc: datetime | None
    lease_until_utc: datetime | None
    next_try_utc: datetime | None
    sent_utc: datetime | None
    provider_id: str | None
    error: str | None


@dataclass(frozen=True)
class Unsent:
    """A message that was not handed over, by whom it is for and why."""

    person_id: str
    channel: str
    state: str
    in_doubt: bool
    error: str | None
