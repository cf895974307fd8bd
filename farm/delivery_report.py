"""What a gateway told later of a message it had taken."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True)
class DeliveryReport:
    """One state of one message, by the provider's own name for it.

    ``state`` is "unknown", "taken", "delivered" or "undelivered"; ``words`` is what the provider
    called it.
    """

    channel: str
    provider_id: str
    state: str
    words: str
    reported_utc: datetime
