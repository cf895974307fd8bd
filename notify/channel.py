"""What every channel is: something that hands over one message, or says why it could not."""

from dataclasses import dataclass, field
from typing import Protocol


@dataclass(frozen=True)
class OutgoingMessage:
    """One message to one address. ``body`` is what goes out, to the byte."""

    address: str = field(repr=False)
    subject: str
    message_id: str
    body: bytes = field(repr=False)


@dataclass(frozen=True)
class Receipt:
    """What the other side answered; ``provider_id`` is its own name for the message, if any."""

    provider_id: str | None = None


class Channel(Protocol):
    """A way to reach people."""

    def send(self, message: OutgoingMessage) -> Receipt:
        """Hand one message over.

        Raises
        ------
        DeliveryError
            It was not accepted, or nobody knows whether it was.
        """
        ...

    def close(self) -> None:
        """Let go of connections. A later `send` opens them again."""
        ...


class DeliveryError(Exception):
    """A message was not accepted.

    ``permanent`` says that trying again is no use. ``stops_channel`` says that no other message
    can go this way either, such as after a refused password. ``in_doubt`` says that the message
    may have gone out all the same. ``retry_after_s`` is how long the other side asks to be left
    alone [s]. The text never holds a whole address, phone number or secret.
    """

    def __init__(
        self,
        message: str,
        permanent: bool = False,
        *,
        stops_channel: bool = False,
        in_doubt: bool = False,
        retry_after_s: float | None = None,
    ) -> None:
        super().__init__(message)
        self.permanent = permanent
        self.stops_channel = stops_channel
        self.in_doubt = in_doubt
        self.retry_after_s = retry_after_s
