"""A message to one person, ready to be kept and sent."""

from dataclasses import dataclass, field
from datetime import date


@dataclass(frozen=True)
class PlannedMessage:
    """One message to one person. ``body`` is what goes out, to the byte; empty where none could
    be written for the address, which is then reported when it is due.
    """

    person_id: str
    local_date: date
    kind: str
    revision: int
    channel: str
    address: str = field(repr=False)
    message_id: str
    subject: str
    body: bytes = field(repr=False)

    @property
    def key(self) -> tuple[str, date, str, int]:
        """What makes a message the same message."""
        return (self.person_id, self.local_date, self.kind, self.revision)
