"""Whether a message may go to an address now: stops, consent, and the quiet hours of the reader."""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, time
from typing import Protocol
from zoneinfo import ZoneInfo

from farm.consent import Consent
from farm.message import PlannedMessage
from notify.channel import Channel, DeliveryError, OutgoingMessage, Receipt
from notify.user_text import plain_line

SMS = "sms"


class ConsentBook(Protocol):
    """What people said about being written to."""

    def standing(self, channel: str, address: str) -> Consent | None:
        """The word that counts for an address, or None where none was ever said."""
        ...


class ConsentLedger(ConsentBook, Protocol):
    """A book that words can be added to, each in a transaction with what it suppresses."""

    def add(self, consent: Consent, person_ids: Collection[str] = ()) -> bool:
        """Keep a word; False where it is kept already."""
        ...


class HeldBackError(DeliveryError):
    """A message that may not go out; nothing is wrong, and it is not tried again."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason, permanent=True)


@dataclass(frozen=True)
class ContactRules:
    """What must hold for a message to go out.

    ``zones`` are the zones of telephone numbers' owners, ``home_zone`` that of any other number.
    """

    book: ConsentBook
    home_zone: str
    zones: Mapping[str, str] = field(default_factory=dict, repr=False)
    consent_needed: bool = True
    quiet_from: time = time(21, 0)
    quiet_until: time = time(5, 0)

    def why_not(self, channel: str, address: str, now: datetime) -> str:
        """Why nothing may go to an address now; "" where it may."""
        said = self.book.standing(channel, address)
        if said is not None and said.word == "stop":
            return "the reader stopped these messages"
        if channel != SMS:
            return ""
        if said is None and self.consent_needed:
            return "no consent to text messages is kept; enter it with warmspell people allow"
        local = now.astimezone(ZoneInfo(self.zones.get(address, self.home_zone))).time()
        if is_quiet(local, self.quiet_from, self.quiet_until):
            return f"it is {local:%H:%M} where the reader is, within the quiet hours"
        return ""

    def split(
        self, messages: Iterable[PlannedMessage], now: datetime
    ) -> tuple[tuple[PlannedMessage, ...], tuple[str, ...]]:
        """The messages that may go out, and a line on each that may not."""
        allowed, held = [], []
        for message in messages:
            reason = self.why_not(message.channel, message.address, now)
            if reason:
                held.append(f"{message.channel} to {plain_line(message.person_id)}: {reason}")
            else:
                allowed.append(message)
        return tuple(allowed), tuple(held)


def is_quiet(local: time, quiet_from: time, quiet_until: time) -> bool:
    """Whether a local time lies in the quiet hours; equal ends mean that there are none."""
    if quiet_from <= quiet_until:
        return quiet_from <= local < quiet_until
    return local >= quiet_from or local < quiet_until


class GuardedChannel:
    """A channel that asks the rules once more before each message, whoever planned it."""

    def __init__(
        self, name: str, channel: Channel, rules: ContactRules, clock: Callable[[], datetime]
    ) -> None:
        self._name, self._channel, self._rules, self._clock = name, channel, rules, clock

    def send(self, message: OutgoingMessage) -> Receipt:
        """Hand one message over, unless its reader may not be written to now."""
        try:
            reason = self._rules.why_not(self._name, message.address, self._clock())
        # Whether somebody said stop is not known, so nothing goes out until it is.
        except Exception as error:
            raise DeliveryError(
                f"{self._name}: the list of stops cannot be read ({type(error).__name__})",
                stops_channel=True,
            ) from error
        if reason:
            raise HeldBackError(reason)
        return self._channel.send(message)

    def close(self) -> None:
        """Let go of connections."""
        self._channel.close()
