"""A farm's worker with everything it works with."""

import threading
from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

from scheduler.alone import alone
from scheduler.channels import channels_of
from scheduler.forecasts_at_work import ForecastsAtWork
from scheduler.hand_over import send_times
from scheduler.outbox_at_work import OutboxAtWork
from scheduler.prefetch import Prefetch
from scheduler.spare_room import SpareRoom, spare_path
from scheduler.worker import Worker
from scheduler.worker_lock import sending_lock_path
from scheduler.worker_name import worker_name

if TYPE_CHECKING:
    from scheduler.opening import OpenFarm


def worker_of(
    farm: "OpenFarm", clock: Callable[[], datetime], stop: threading.Event | None = None
) -> Worker:
    """A worker that makes and sends mornings while nobody else does, until ``stop`` is set."""
    stop = stop or threading.Event()
    name = worker_name()
    farm = at_work(farm, stop)
    times, forecasts = send_times(farm.config), ForecastsAtWork(farm.stores.database, clock)
    farm = replace(farm, stores=replace(farm.stores, forecasts=forecasts))
    return Worker(
        farm=farm,
        channels=channels_of(farm, clock),
        name=name,
        times=times,
        clock=clock,
        stop=stop,
        alone=lambda: alone_at(farm, name, clock),
        ahead=Prefetch(farm, forecasts, times, clock, stop).look,
        spare=SpareRoom(spare_path(farm.config.folder, farm.config.settings.farm.database)),
    )


def at_work(farm: "OpenFarm", stop: threading.Event | None = None) -> "OpenFarm":
    """The farm with an outbox that is only sent from while the lease on the morning is held."""
    outbox = OutboxAtWork(farm.stores.database, stop)
    return replace(farm, stores=replace(farm.stores, deliveries=outbox))


def alone_at(
    farm: "OpenFarm", worker: str, clock: Callable[[], datetime]
) -> AbstractContextManager[None]:
    """To be held while a farm's morning is made and sent."""
    lock = sending_lock_path(farm.config.folder, farm.config.settings.farm.database)
    return alone(farm.stores, lock, worker, clock)
