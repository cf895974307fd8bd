"""The outbox: what is to be sent to whom, who is sending it, and what became of it.

A message is planned, claimed, handed over, and marked, each in its own transaction. One that was
claimed and not marked before its lease ran out is in doubt: it may have gone out. It is claimed
again and sent with the same bytes and message id.
"""

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from sqlalchemy import and_, case, func, insert, or_, select, tuple_, update
from sqlalchemy.sql import ColumnElement

from farm.masked_address import masked_address
from farm.message import PlannedMessage
from storage.database import Database
from storage.delivery import Delivery, Unsent
from storage.in_chunks import in_chunks
from storage.tables import deliveries

_KEY = (
    deliveries.c.person_id,
    deliveries.c.local_date,
    deliveries.c.kind,
    deliveries.c.revision,
)

#: Longest error text kept.
_ERROR_LENGTH = 500


#: Days for which a refusal counts against an address. Judgement: long enough to rest it, short
#: enough to notice that it was mended.
REFUSALS_COUNT_DAYS = 10


class DeliveryLog:
    """One row for each (person, local date, kind, revision), whatever happens."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def plan(self, messages: Sequence[PlannedMessage], now: datetime) -> int:
        """Plan messages, all in one transaction, and say how many were new.

        One whose key is known already is left alone, whatever its state.
        """
        rows = {message.key: _planned(message, now) for message in reversed(messages)}
        with self._database.write() as connection:
            known: set[tuple[object, ...]] = set()
            for some in in_chunks(list(rows)):
                asked = select(*_KEY).where(tuple_(*_KEY).in_(some))
                known.update(tuple(row) for row in connection.execute(asked))
            new = [row for key, row in reversed(rows.items()) if key not in known]
            if new:
                connection.execute(insert(deliveries), new)
        return len(new)

    def due(self, now: datetime) -> tuple[Delivery, ...]:
        """What may be claimed now: what was never tried first, then in the order planned."""
        tried_least = sorted(self._rows(_claimable(now)), key=lambda row: row.attempt)
        return tuple(tried_least)

    def any_due(self, now: datetime) -> bool:
        """Whether anything may be claimed now."""
        asked = select(deliveries.c.id).where(_claimable(now)).limit(1)
        with self._database.read() as connection:
            return connection.execute(asked).first() is not None

    def first_planned_utc(self, local_date: date, kind: str) -> datetime | None:
        """When the first message of a kind was planned for a local date, on any channel."""
        asked = select(func.min(deliveries.c.planned_utc)).where(_of_kind(local_date, kind))
        with self._database.read() as connection:
            first: datetime | None = connection.execute(asked).scalar_one()
        return first

    def unsent(self, local_date: date, kind: str) -> tuple[Unsent, ...]:
        """Whom a kind of message of a local date has not reached, stops aside."""
        columns = deliveries.c
        told = (columns.person_id, columns.channel, columns.state, columns.in_doubt, columns.error)
        missing = columns.state.in_(("pending", "sending", "failed"))
        asked = select(*told).where(_of_kind(local_date, kind), missing).order_by(columns.id)
        with self._database.read() as connection:
            return tuple(Unsent(*row) for row in connection.execute(asked))

    def refused_addresses(self, before: date, days: int) -> dict[tuple[str, str, str], date]:
        """Whose digests the other side refused for good on their last ``days`` days, and when last.

        By person, channel and masked address, so that a new address begins anew. Only digests of
        `REFUSALS_COUNT_DAYS` count: after that an address is tried again.
        """
        columns = deliveries.c
        told = (columns.person_id, columns.channel, columns.address_masked)
        lately = (
            columns.kind.startswith("morning-"),
            columns.local_date < before,
            columns.local_date >= before - timedelta(days=REFUSALS_COUNT_DAYS),
        )
        refused = and_(columns.state == "failed", columns.permanent).label("refused")
        asked = select(*told, columns.local_date, refused).where(*lately)
        by_address: dict[tuple[str, str, str], list[tuple[date, bool]]] = {}
        with self._database.read() as connection:
            for person, channel, address, on, was in connection.execute(asked):
                by_address.setdefault((person, channel, address), []).append((on, bool(was)))
        last = {key: sorted(of_one)[-days:] for key, of_one in by_address.items()}
        return {
            key: of_one[-1][0]
            for key, of_one in last.items()
            if len(of_one) == days and all(was for _, was in of_one)
        }

    def of_day(self, local_date: date) -> tuple[Delivery, ...]:
        """Everything planned for a local date, in the order it was planned."""
        return self._rows(deliveries.c.local_date == local_date)

    def claim(self, row_id: int, worker: str, now: datetime, lease_s: float) -> bool:
        """Take a message for sending; False where another was quicker or it is not due.

        ``worker`` names one run of one program, never reused, so that one that slept past its
        lease cannot mark what another has taken over.
        """
        columns = deliveries.c
        return self._change(
            and_(columns.id == row_id, _claimable(now)),
            in_doubt=case((columns.state == "sending", True), else_=columns.in_doubt),
            state="sending",
            attempt=columns.attempt + 1,
            worker=worker,
            claimed_utc=now,
            lease_until_utc=now + timedelta(seconds=lease_s),
            next_try_utc=None,
        )

    def mark_sent(self, row_id: int, worker: str, provider_id: str | None, now: datetime) -> bool:
        """Record a hand-over; False where ``worker`` no longer holds the message."""
        return self._change(
            _held_by(row_id, worker),
            state="sent",
            sent_utc=now,
            provider_id=provider_id,
            lease_until_utc=None,
            error=None,
        )

    def mark_failed(
        self,
        row_id: int,
        worker: str,
        error: str,
        *,
        permanent: bool,
        next_try_utc: datetime | None,
        now: datetime,
        in_doubt: bool = False,
    ) -> bool:
        """Record a failure; False where ``worker`` no longer holds the message.

        It is tried again from ``next_try_utc`` unless it is permanent or no time is given.
        ``in_doubt`` says that it may have gone out all the same; once so, a message stays so.
        ``error`` must not hold an address; it is cut to 500 characters.
        """
        again_utc = None if permanent else next_try_utc
        return self._change(
            _held_by(row_id, worker),
            state="failed",
            permanent=permanent,
            in_doubt=True if in_doubt else deliveries.c.in_doubt,
            next_try_utc=again_utc,
            claimed_utc=now,
            lease_until_utc=None,
            error=error[:_ERROR_LENGTH],
        )

    def hold_back(self, row_id: int, worker: str, reason: str, now: datetime) -> bool:
        """Set aside for good what may not be sent; False where ``worker`` no longer holds it."""
        return self._change(
            _held_by(row_id, worker),
            state="suppressed",
            claimed_utc=now,
            lease_until_utc=None,
            next_try_utc=None,
            error=reason[:_ERROR_LENGTH],
        )

    def give_up(self, row_ids: Sequence[int], reason: str, now: datetime) -> int:
        """Try these no more, as far as they may be claimed now; how many messages that were.

        One that was being sent when its worker went away stays in doubt.
        """
        given_up = {
            "state": "failed",
            "in_doubt": or_(deliveries.c.in_doubt, deliveries.c.state == "sending"),
            "next_try_utc": None,
            "lease_until_utc": None,
            "claimed_utc": now,
            "error": reason[:_ERROR_LENGTH],
        }
        count = 0
        with self._database.write() as connection:
            for some in in_chunks(list(row_ids)):
                late = update(deliveries).where(deliveries.c.id.in_(some), _claimable(now))
                count += connection.execute(late.values(given_up)).rowcount
        return count

    def release(self, worker: str, now: datetime) -> int:
        """Let go of what a worker that is known to be gone was sending; how many messages.

        Each is in doubt, and due at once.
        """
        held = update(deliveries).where(
            deliveries.c.state == "sending", deliveries.c.worker == worker
        )
        with self._database.write() as connection:
            return connection.execute(held.values(lease_until_utc=now)).rowcount

    def suppress(self, person_id: str, reason: str) -> int:
        """Keep whatever waits for a person from being sent; how many messages that were."""
        waiting = deliveries.c.state.in_(("pending", "failed"))
        held_back = update(deliveries).where(deliveries.c.person_id == person_id, waiting)
        with self._database.write() as connection:
            values = {"state": "suppressed", "next_try_utc": None, "error": reason[:_ERROR_LENGTH]}
            return connection.execute(held_back.values(values)).rowcount

    def _change(self, where: ColumnElement[bool], **values: object) -> bool:
        with self._database.write() as connection:
            changed = connection.execute(update(deliveries).where(where).values(values))
            return changed.rowcount == 1

    def _rows(self, where: ColumnElement[bool]) -> tuple[Delivery, ...]:
        asked = select(deliveries).where(where).order_by(deliveries.c.id)
        with self._database.read() as connection:
            return tuple(Delivery(**row) for row in connection.execute(asked).mappings())


def _claimable(now: datetime) -> ColumnElement[bool]:
    columns = deliveries.c
    return or_(
        columns.state == "pending",
        and_(columns.state == "sending", columns.lease_until_utc <= now),
        and_(columns.state == "failed", columns.next_try_utc <= now),
    )


def _of_kind(local_date: date, kind: str) -> ColumnElement[bool]:
    # Kinds are stored with their channel behind them, such as "morning-mail".
    return and_(deliveries.c.local_date == local_date, deliveries.c.kind.startswith(f"{kind}-"))


def _held_by(row_id: int, worker: str) -> ColumnElement[bool]:
    columns = deliveries.c
    return and_(columns.id == row_id, columns.state == "sending", columns.worker == worker)


def _planned(message: PlannedMessage, now: datetime) -> dict[str, object]:
    return {
        "person_id": message.person_id,
        "local_date": message.local_date,
        "kind": message.kind,
        "revision": message.revision,
        "channel": message.channel,
        "address_masked": masked_address(message.address),
        "message_id": message.message_id,
        "subject": message.subject,
        "payload": message.body,
        "state": "pending",
        "attempt": 0,
        "in_doubt": False,
        "permanent": False,
        "planned_utc": now,
    }
