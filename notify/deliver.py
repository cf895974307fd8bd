"""Hands over what is due: claim, send, mark, each message by itself."""

import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from notify.breaker import LONGEST_ASKED_S, Breaker
from notify.channel import Channel, DeliveryError, OutgoingMessage, Receipt
from notify.lanes import in_lanes
from notify.ledger import DueMessage, Ledger
from notify.may_send import HeldBackError
from notify.outbox import SMS, AddressBook
from notify.user_text import plain_line

#: Minutes until the next try after the first, second, ... failure; the last one repeats [min].
RETRY_MIN = (1, 5, 15, 30)
#: Tries after which a message is given up: about four hours and a half after the first.
MOST_TRIES = 12
#: How long a claimed message is ours [s]: longer than the longest wait for a mail server.
LEASE_S = 900.0


@dataclass(frozen=True)
class DeliverySummary:
    """What became of the messages that were due, each counted once.

    ``failed`` ones are not tried again, ``pending`` ones are, ``in_doubt`` ones may have arrived.
    ``repeated`` counts those of ``sent`` that may have arrived before; they went out again with
    the same bytes and message id. ``held_back`` ones may not go out, such as after a stop.
    ``config_fault`` says that a channel was stopped by something only the operator can mend, such
    as a refused password. ``notes`` say what went wrong, one line each, addresses masked; a
    channel that was stopped comes first.
    """

    sent: int = 0
    failed: int = 0
    pending: int = 0
    in_doubt: int = 0
    notes: tuple[str, ...] = ()
    repeated: int = 0
    held_back: int = 0
    config_fault: bool = False
    stopped: tuple[str, ...] = ()


def deliver(
    ledger: Ledger,
    channels: Mapping[str, Channel],
    now: datetime,
    worker: str,
    addresses: AddressBook,
    lease_s: float = LEASE_S,
    *,
    clock: Callable[[], datetime] | None = None,
    breaker: Breaker | None = None,
    lanes: Mapping[str, int] | None = None,
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
    clock
        Tells the time as the pass goes on, so that a lease counts from its own claim; without
        it, time stands still at ``now``.
    breaker
        What is known of the channels' health; without it, nothing is.
    lanes
        How many messages of a channel are under way at once, 1 where not told: a server that is
        slow to answer one then does not hold up the others.
    """
    health = breaker or Breaker()
    hand_over = _HandOver(
        ledger, channels, clock or (lambda: now), worker, addresses, lease_s, health
    )
    # A server that turned us away may have had too many connections of ours.
    open_lanes = {name: most if health.well(name) else 1 for name, most in (lanes or {}).items()}
    try:
        in_lanes(hand_over.one, ledger.due(now), open_lanes)
    finally:
        for channel in channels.values():
            channel.close()
    return hand_over.summary()


class _Unsendable(DeliveryError):
    """Nothing was handed to the channel, so it says nothing about the channel."""

    def __init__(self, message: str) -> None:
        super().__init__(message, permanent=True)


class _HandOver:
    """One pass over the outbox."""

    def __init__(
        self,
        ledger: Ledger,
        channels: Mapping[str, Channel],
        clock: Callable[[], datetime],
        worker: str,
        addresses: AddressBook,
        lease_s: float,
        breaker: Breaker,
    ) -> None:
        self._ledger, self._channels, self._clock = ledger, channels, clock
        self._worker, self._addresses, self._lease_s = worker, addresses, lease_s
        self._breaker, self._lock = breaker, threading.Lock()
        self._counts = {"sent": 0, "failed": 0, "pending": 0, "in_doubt": 0}
        self._counts |= {"repeated": 0, "held_back": 0}
        self._stopped: dict[str, str] = {}
        self._config_fault = False
        self._notes: list[str] = []

    def one(self, row: DueMessage) -> None:
        """Claim, send and mark one message."""
        channel = self._channels.get(row.channel)
        if channel is None or self._pauses(row.channel):
            self._count("pending")
        elif self._ledger.claim(row.id, self._worker, self._clock(), self._lease_s):
            try:
                receipt = self._sent(row, channel)
            except HeldBackError as held:
                self._hold_back(row, held)
            except DeliveryError as error:
                self._not_sent(row, error)
            else:
                self._mark_sent(row, receipt)

    def summary(self) -> DeliverySummary:
        """The counts so far."""
        return DeliverySummary(
            **self._counts,
            notes=(*self._stopped.values(), *self._notes),
            config_fault=self._config_fault,
            stopped=tuple(self._stopped),
        )

    def _pauses(self, channel: str) -> bool:
        with self._lock:
            reason = self._breaker.paused(channel, self._clock())
            if reason:
                self._stopped.setdefault(channel, f"{channel} stopped, the rest waits: {reason}")
        return bool(reason)

    def _sent(self, row: DueMessage, channel: Channel) -> Receipt:
        address = self._addresses.get((row.person_id, row.channel))
        if not address:
            raise _Unsendable("this person has no address for it any more")
        if not row.payload:
            raise _Unsendable("no message could be written for the address")
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
        now = self._clock()
        if not self._ledger.mark_sent(row.id, self._worker, receipt.provider_id, now):
            self._count("in_doubt")
            self._note(row, "sent, but another worker had taken it over: it may arrive twice")
            return
        self._count("sent")
        with self._lock:
            self._breaker.sent(row.channel)
        if row.in_doubt or row.state == "sending":
            self._count("repeated")
            self._note(row, "sent again as it was, it may have arrived before")

    def _not_sent(self, row: DueMessage, error: DeliveryError) -> None:
        tries, now, said = row.attempt + 1, self._clock(), plain_line(str(error))
        # A refused password or an empty account is no fault of this message: it is kept.
        final = not error.stops_channel and (error.permanent or tries >= MOST_TRIES)
        # A text message costs money each time it may have arrived; it is sent again once.
        final = final or (error.in_doubt and row.channel == SMS and tries >= 2)
        wait_s = max(
            60.0 * RETRY_MIN[min(tries, len(RETRY_MIN)) - 1],
            min(error.retry_after_s or 0.0, LONGEST_ASKED_S),
        )
        self._ledger.mark_failed(
            row.id,
            self._worker,
            said,
            permanent=final and error.permanent,
            next_try_utc=None if final else now + timedelta(seconds=wait_s),
            now=now,
            in_doubt=error.in_doubt,
        )
        self._count("in_doubt" if error.in_doubt else "failed" if final else "pending")
        if not error.stops_channel:
            self._note(row, said)
        self._judge_channel(row.channel, error, said, now)

    def _hold_back(self, row: DueMessage, held: HeldBackError) -> None:
        """Set aside for good what may not go out: nothing failed, and nothing is tried again."""
        said = plain_line(str(held))
        self._ledger.hold_back(row.id, self._worker, said, self._clock())
        self._count("held_back")
        self._note(row, f"not sent, {said}")

    def _judge_channel(self, channel: str, error: DeliveryError, said: str, now: datetime) -> None:
        """Pause the channel where the fault is not that of one message."""
        with self._lock:
            reason = ""
            if error.stops_channel:
                reason = said
                self._breaker.stop(channel, now, said, error.retry_after_s)
                self._config_fault = self._config_fault or error.permanent
            elif error.permanent and not isinstance(error, _Unsendable):
                reason = self._breaker.refused(channel, now)
            if reason:
                self._stopped[channel] = f"{channel} stopped, the rest waits: {reason}"

    def _count(self, name: str) -> None:
        with self._lock:
            self._counts[name] += 1

    def _note(self, row: DueMessage, said: str) -> None:
        with self._lock:
            self._notes.append(f"{row.channel} to {plain_line(row.person_id)}: {said}")
