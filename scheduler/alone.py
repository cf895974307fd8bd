"""One at a time makes and sends a farm's morning, on one machine and on several."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.worker_lock import AnotherWorkerError, only_worker

if TYPE_CHECKING:
    from storage.stores import Stores

#: The lease that is held while a morning is made and sent.
LEASE = "morning"
#: How long it lasts without being extended [s]; each message that is claimed extends it.
LEASE_S = 900.0


@contextmanager
def alone(
    stores: "Stores", lock: Path, worker: str, clock: Callable[[], datetime]
) -> Iterator[None]:
    """Hold the lock of this machine and the lease in the database while the block runs.

    The lock is gone with its process, so whoever holds it knows that the holder of a lease taken
    under it is gone, and takes over at once; a lease taken on another machine must run out.
    What a holder that is gone was sending is in doubt, and due at once.

    Raises
    ------
    AnotherWorkerError
        Somebody else is making or sending the morning.
    """
    from storage.lease_store import LeaseStore

    leases = LeaseStore(stores.database)
    with only_worker(lock) as den:
        gone = leases.take(LEASE, worker, den, clock(), LEASE_S)
        if gone is None:
            raise AnotherWorkerError(
                f"{stores.database.place}: another machine is making or sending this farm's "
                "morning; leave it to do the work, or try again in a quarter of an hour"
            )
        if gone:
            stores.deliveries.release(gone, clock())
        try:
            yield
        finally:
            leases.give_back(LEASE, worker)
