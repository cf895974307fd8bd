"""The outbox of one who holds the lease on the morning, and who can be asked to stop."""

import threading
from datetime import datetime

from scheduler.alone import LEASE, LEASE_S
from storage.database import Database
from storage.delivery_log import DeliveryLog
from storage.lease_store import LeaseStore


class OutboxAtWork(DeliveryLog):
    """As the outbox, but a message is only claimed while its worker may.

    Asked to stop, it claims no more: the message under way is finished, the others stay pending.
    Nor does one whose lease was taken over while it slept: that is looked up in the transaction
    that claims.
    """

    def __init__(self, database: Database, stop: threading.Event | None = None) -> None:
        super().__init__(database)
        self._leases = LeaseStore(database)
        self._stop = stop or threading.Event()

    def claim(self, row_id: int, worker: str, now: datetime, lease_s: float) -> bool:
        """Take a message for sending; False also where this worker is to send no more."""
        if self._stop.is_set():
            return False
        with self._database.write():
            mine = self._leases.extend(LEASE, worker, now, LEASE_S)
            return mine and super().claim(row_id, worker, now, lease_s)
