"""What is due goes out, and what has come too late does not."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from notify.breaker import Breaker
from notify.deliver import DeliverySummary, deliver
from notify.outbox import MAIL, address_book
from scheduler.due import SendTimes, too_late

if TYPE_CHECKING:
    from config.farm_config import FarmConfig
    from farm.people import Person
    from notify.channel import Channel
    from storage.delivery import Delivery
    from storage.stores import Stores

#: Mails under way at once, so that a server slow to answer one holds up no other. Judgement: few
#: enough for any server's limit.
LANES = {MAIL: 4}

_TOO_LATE = "not handed over in time, so not sent at all"


def send_times(config: "FarmConfig") -> SendTimes:
    """When a farm's digests go out."""
    told = config.settings.farm
    return SendTimes(ZoneInfo(config.time_zone), told.send_at, told.deadline, told.late_until)


def hand_over(
    stores: "Stores",
    channels: "Mapping[str, Channel]",
    people: "Iterable[Person]",
    times: SendTimes,
    worker: str,
    clock: Callable[[], datetime],
    breaker: Breaker | None = None,
) -> DeliverySummary:
    """Hand over every message that is due, and give up those that would come too late."""
    now = clock()
    late = [row for row in stores.deliveries.due(now) if _is_late(row, now, times)]
    given_up = stores.deliveries.give_up([row.id for row in late], _TOO_LATE, now)
    told = deliver(
        stores.deliveries,
        channels,
        now,
        worker,
        address_book(people),
        clock=clock,
        breaker=breaker,
        lanes=LANES,
    )
    notes = tuple(f"{row.channel} to {row.person_id}: {_TOO_LATE}" for row in late)
    return replace(told, failed=told.failed + given_up, notes=(*told.notes, *notes))


def _is_late(row: "Delivery", now: datetime, times: SendTimes) -> bool:
    return too_late(row.kind, row.channel, row.local_date, row.planned_utc, now, times)
