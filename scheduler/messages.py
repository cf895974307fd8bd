"""Every message that follows from a morning: digests, a correction, alarms for operators."""

import logging
from collections.abc import Iterable
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from farm.masked_address import masked_address
from farm.message import PlannedMessage
from notify.correction import write_corrections
from notify.outbox import SMS, planned_messages
from notify.sms import MAX_SEGMENTS
from scheduler.alarm import alarm_messages
from scheduler.contact_rules import contact_rules
from scheduler.due import texts_end_utc
from scheduler.hand_over import send_times
from scheduler.standing_rigs import standing_rigs
from scheduler.stop_line import stop_line
from storage.errors import StorageError

if TYPE_CHECKING:
    from config.farm_config import FarmConfig
    from dispatch.report import MorningReport
    from notify.digest import Digest
    from scheduler.morning import MorningRun
    from storage.stores import Stores

#: The kind of a morning's digests in the outbox.
MORNING = "morning"
#: The kind of the plan of a second look that corrected nothing.
LOOK = "look"

#: Days in a row on which an address is refused for good before it is left alone. Fault list, M02.
REFUSED_DAYS = 3

log = logging.getLogger("warmspell.morning")


def messages_of(
    run: "MorningRun", config: "FarmConfig", stores: "Stores", now: datetime, *, look: bool
) -> tuple[tuple[PlannedMessage, ...], tuple[str, ...]]:
    """What is to be sent, and a line on each message that may not go out.

    A second look (``look``) has no digests: whoever has none yet is not told of it at noon.
    """
    on = run.report.run.local_date
    digests = () if look else run.digests
    written = (*digests, *_corrections(run, config, stores))
    alarms = (
        *alarm_messages("digest", unwritten(run), config, on, now),
        *alarm_messages("records", run.damaged, config, on, now),
        *alarm_messages("clock", [run.clock.alarm] if run.clock.alarm else [], config, on, now),
        *alarm_messages("weather", [run.refusal] if run.refusal else [], config, on, now),
    )
    good, rested, lately = _refused(planned_messages(written, config.settings, now), stores, on)
    alarms = (*alarms, *alarm_messages("addresses", lately, config, on, now))
    rules = contact_rules(config, stores.consents)
    allowed, held = rules.split((*good, *alarms), now)
    held = (*rested, *held)
    if run.report.run.late and now > texts_end_utc(on, send_times(config)):
        texts = [one for one in allowed if one.channel == SMS and one not in alarms]
        allowed = tuple(one for one in allowed if one not in texts)
        held = (
            *held,
            *(f"sms to {one.person_id}: too late in the day for a text" for one in texts),
        )
    return allowed, held


def _refused(
    planned: Iterable[PlannedMessage], stores: "Stores", on: date
) -> tuple[tuple[PlannedMessage, ...], tuple[str, ...], tuple[str, ...]]:
    """The messages to good addresses, a line on each other one, and those lines that are new."""
    refused = stores.deliveries.refused_addresses(on, REFUSED_DAYS)
    good, rested, lately = [], [], []
    for message in planned:
        masked = masked_address(message.address)
        last = refused.get((message.person_id, message.channel, masked))
        if last is None:
            good.append(message)
            continue
        line = (
            f"{message.channel} to {message.person_id}: {masked} was refused for good on "
            f"{REFUSED_DAYS} days in a row; not tried for some days, mend the address"
        )
        rested.append(line)
        if on - last == timedelta(days=1):
            lately.append(line)
    return tuple(good), tuple(rested), tuple(lately)


def unwritten(run: "MorningRun") -> tuple[str, ...]:
    """What was wrong with digests that went out as a notice only, one line each."""
    return tuple(
        f"digest of {digest.person.id} could not be written: {fault}"
        for digest in run.digests
        for fault in digest.faults
    )


def most_segments(config: "FarmConfig") -> int:
    """Parts a text message may take."""
    sms = config.settings.sms
    return sms.max_segments if sms else MAX_SEGMENTS


def _corrections(run: "MorningRun", config: "FarmConfig", stores: "Stores") -> tuple["Digest", ...]:
    sent = _sent_before(run, stores)
    if sent is None:
        return ()
    people, segments = config.settings.people, most_segments(config)
    rigs = standing_rigs(config, stores)
    return write_corrections(sent, run.report, people, stop_line(config), segments, rigs)


def _sent_before(run: "MorningRun", stores: "Stores") -> "MorningReport | None":
    """The plan whose digests went out earlier on the same local date."""
    figures = run.report.run
    first_utc = stores.deliveries.first_planned_utc(figures.local_date, MORNING)
    if first_utc is None or first_utc >= figures.made_utc:
        return None
    try:
        kept = stores.plans.made_by(first_utc)
    except StorageError as fault:
        log.error("the plan that was sent cannot be read, so nothing is corrected: %s", fault)
        return None
    return kept.report if kept is not None and kept.local_date == figures.local_date else None
