"""An alarm goes into the log and to every operator, by every channel that is left."""

import logging
from collections.abc import Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING

from farm.message import PlannedMessage
from farm.people import Role
from notify.alarm import write_alarms
from notify.outbox import planned_messages
from scheduler.stop_line import stop_line

if TYPE_CHECKING:
    from config.farm_config import FarmConfig
    from storage.stores import Stores

log = logging.getLogger("warmspell.alarm")


def alarm_messages(
    topic: str, lines: Sequence[str], config: "FarmConfig", local_date: date, now: datetime
) -> tuple[PlannedMessage, ...]:
    """The alarm as messages to every operator; none where there is nothing to tell."""
    operators = [one for one in config.settings.people if one.role is Role.OPERATOR]
    if not (lines and operators):
        return ()
    told = write_alarms(
        topic, lines, config.settings.farm.name, local_date, operators, stop_line(config)
    )
    return planned_messages(told, config.settings, now)


def raise_alarm(
    topic: str,
    lines: Sequence[str],
    config: "FarmConfig",
    stores: "Stores",
    local_date: date,
    now: datetime,
) -> None:
    """Say it in the log, and put it into the outbox once a day for each topic."""
    for line in lines:
        log.error("ALARM: %s", line)
    stores.deliveries.plan(alarm_messages(topic, lines, config, local_date, now), now)
