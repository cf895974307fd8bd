"""Hands over what is due: claim, send, mark, each message by itself."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Protocol

from notify.channel import Channel, DeliveryError, OutgoingMessage, Receipt
from notify.outbox import SMS, AddressBook
from notify.user_text import plain_line

#: Minutes until the next try after the first, second, ... failure; the last one repeats [min].
RETRY_MIN = (1, 5, 15, 30)
#: Tries after which a message is given up: about four hours and a half after the first.
MOST_TRIES = 12
#: How long a claimed message is ours [s]: longer than the longest wait for a mail server.
LEASE_S = 900.0


class DueMessage(Protocol):
    """A row of the outbox. ``payload`` is what goes out; ``attempt`` counts claims so far."""

    @property
    def id(self) -> int: ...
    @property
    def person_id(self) -> str: ...
    @property
    def channel(self) -> str: ...
    @property
    def message_id(self) -> str: ...
    @property
    def subject(self) -> str: ...
    @property
    def payload(self) -> bytes: ...
    @property
    def attempt(self) -> int: ...


class Ledger(Protocol):
    """The outbox, each call a transaction of its own."""

    def due(self, now: datetime) -> Sequence[DueMessage]:
        """What may be claimed now, in order."""
        ...

    def claim(self, row_id: int, worker: str, now: datetime, lease_s: float) -> bool:
        """Take a message for sending; False where another was quicker."""
        ...

    def mark_sent(self, row_id: int, worker: str, provider_id: str | None, now: datetime) -> bool:
        """Record a hand-over; False where the message is no longer ours."""
        ...

    def mark_failed(
        self,
        row_id: int,
        worker: str,
        error: str,
        *,
        permanent: bool,
        next_try_utc: datetime | None,
        now: datetime,
    ) -> bool:
        """Record a failure; False where the message is no longer ours."""
        ...


@dataclass(frozen=True)
class DeliverySummary:
    """What became of the messages that were due, each counted once.

    ``failed`` ones are not tried again, ``pending`` ones are, ``in_doubt`` ones may have arrived.
    ``notes`` say what went wrong, one line each, addresses masked; a channel that was stopped
    comes first.
    """

    sent: int = 0
    failed: int = 0
    pending: int = 0
    in_doubt: int = 0
    notes: tuple[str, ...] = ()


def deliver(
    ledger: Ledger,
    channels: Mapping[str, Channel],
    now: datetime,
    worker: str,
    addresses: AddressBook,
    lease_s: float = LEASE_S,
) -> DeliverySummary:
    """Hand over every message that is due. One that fails never stops the others.

    Parameters
    ----------
    ledger
        The outbox.
    channels
        By the name the outbox uses. A message for a channel that is not there stays pending.
    now
        The moment, aware.
    worker
        Name of this run, never used by another.
    addresses
        Everybody's address by (person id, channel); who has none any more gets nothing.
    lease_s
        How long a claimed message is ours [s].
    """
    hand_over = _HandOver(ledger, channels, now, worker, addresses, lease_s)
    try:
        for row in ledger.due(now):
            hand_over.one(row)
    finally:
        for channel in channels.values():
            channel.close()
    return hand_over.summary()


class _HandOver:
    """One pass over the outbox."""

    def __init__(
        self,
        ledger: Ledger,
        channels: Mapping[str, Channel],
        now: datetime,
        worker: str,
        addresses: AddressBook,
        lease_s: float,
    ) -> None:
        self._ledger, self._channels, self._now = ledger, channels, now
        self._worker, self._addresses, self._lease_s = worker, addresses, lease_s
        self._counts = {"sent": 0, "failed": 0, "pending": 0, "in_doubt": 0}
        self._stopped: dict[str, str] = {}
        self._notes: list[str] = []

    def one(self, row: DueMessage) -> None:
        """Claim, send and mark one message."""
        channel = self._channels.get(row.channel)
        if channel is None or row.channel in self._stopped:
            self._counts["pending"] += 1
        elif self._ledger.claim(row.id, self._worker, self._now, self._lease_s):
            try:
                receipt = self._sent(row, channel)
            except DeliveryError as error:
                self._not_sent(row, error)
            else:
                self._mark_sent(row, receipt)

    def summary(self) -> DeliverySummary:
        """The counts so far."""
        return DeliverySummary(**self._counts, notes=(*self._stopped.values(), *self._notes))

    def _sent(self, row: DueMessage, channel: Channel) -> Receipt:
        address = self._addresses.get((row.person_id, row.channel))
        if not address:
            raise DeliveryError("this person has no address for it any more", permanent=True)
        if not row.payload:
            raise DeliveryError("no message could be written for the address", permanent=True)
        try:
            return channel.send(
                OutgoingMessage(address, row.subject, row.message_id, bytes(row.payload))
            )
        except DeliveryError:
            raise
        # A fault of ours in one message must not silence the others.
        except Exception as error:
            raise DeliveryError(f"{type(error).__name__} while sending", in_doubt=True) from error

    def _mark_sent(self, row: DueMessage, receipt: Receipt) -> None:
        if self._ledger.mark_sent(row.id, self._worker, receipt.provider_id, self._now):
            self._counts["sent"] += 1
        else:
            self._counts["in_doubt"] += 1
            self._note(row, "sent, but another worker had taken it over: it may arrive twice")

    def _not_sent(self, row: DueMessage, error: DeliveryError) -> None:
        tries = row.attempt + 1
        # A refused password or an empty account is no fault of this message: it is kept.
        final = (error.permanent and not error.stops_channel) or tries >= MOST_TRIES
        # A text message costs money each time it may have arrived; it is sent again once.
        final = final or (error.in_doubt and row.channel == SMS and tries >= 2)
        wait = timedelta(minutes=RETRY_MIN[min(tries, len(RETRY_MIN)) - 1])
        said = plain_line(str(error))
        self._ledger.mark_failed(
            row.id,
            self._worker,
            said,
            permanent=final,
            next_try_utc=None if final else self._now + wait,
            now=self._now,
        )
        self._counts["in_doubt" if error.in_doubt else "failed" if final else "pending"] += 1
        if error.stops_channel:
            self._stopped[row.channel] = f"{row.channel} stopped, the rest waits: {said}"
        else:
            self._note(row, said)

    def _note(self, row: DueMessage, said: str) -> None:
        self._notes.append(f"{row.channel} to {plain_line(row.person_id)}: {said}")
