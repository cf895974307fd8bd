"""How messages stand, without what they say."""

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select

from storage.database import Database
from storage.tables import deliveries


@dataclass(frozen=True)
class MessageState:
    """One message of the outbox; what each figure means is told at `storage.delivery.Delivery`."""

    person_id: str
    local_date: date
    kind: str
    channel: str
    address_masked: str
    state: str
    attempt: int
    in_doubt: bool
    permanent: bool
    planned_utc: datetime
    claimed_utc: datetime | None
    next_try_utc: datetime | None
    sent_utc: datetime | None
    provider_id: str | None
    error: str | None


def message_states(database: Database, first: date, last: date) -> tuple[MessageState, ...]:
    """Every message of the local dates from ``first`` to ``last``, in the order planned."""
    columns = deliveries.c
    asked = select(*(columns[name] for name in MessageState.__dataclass_fields__))
    of_days = asked.where(columns.local_date >= first, columns.local_date <= last)
    with database.read() as connection:
        rows = connection.execute(of_days.order_by(columns.id)).all()
    return tuple(MessageState(*row) for row in rows)
