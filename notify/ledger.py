"""What the hand-over needs of an outbox."""

from collections.abc import Sequence
from datetime import datetime
from typing import Protocol


class DueMessage(Protocol):
    """A row of the outbox. ``payload`` is what goes out; ``attempt`` counts claims so far.

    One whose ``state`` is still "sending", or that is ``in_doubt``, may have arrived before.
    """

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
    @property
    def state(self) -> str: ...
    @property
    def in_doubt(self) -> bool: ...


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
        in_doubt: bool = False,
    ) -> bool:
        """Record a failure; False where the message is no longer ours."""
        ...

    def hold_back(self, row_id: int, worker: str, reason: str, now: datetime) -> bool:
        """Set a message aside for good; False where it is no longer ours."""
        ...
