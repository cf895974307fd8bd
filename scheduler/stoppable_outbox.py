"""The outbox of a worker that can be asked to stop between two messages."""

import threading
from collections.abc import Iterator
from datetime import datetime

from storage.database import Database
from storage.delivery_log import Delivery, DeliveryLog


class StoppableOutbox(DeliveryLog):
    """As the outbox, but what is due ends early once ``stop`` is set.

    The message under way is finished; the others stay pending, and the next start sends them.
    """

    def __init__(self, database: Database, stop: threading.Event) -> None:
        super().__init__(database)
        self._stop = stop

    def due(self, now: datetime) -> tuple[Delivery, ...]:
        """What may be claimed now, in order, for as long as nobody asked to stop."""
        rows = _UntilStopped(super().due(now))
        rows.stop = self._stop
        return rows


class _UntilStopped(tuple[Delivery, ...]):
    stop: threading.Event

    def __iter__(self) -> Iterator[Delivery]:
        for row in super().__iter__():
            if self.stop.is_set():
                return
            yield row
