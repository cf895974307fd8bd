"""Whether a morning was told whole: every field in its counts, every reader's message sent."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from scheduler.contact_rules import contact_rules

if TYPE_CHECKING:
    from dispatch.report import MorningReport
    from scheduler.opening import OpenFarm
    from storage.delivery_counts import Standing

#: States after which nothing is owed to a reader.
_SETTLED = ("sent", "suppressed")


def not_told(
    farm: "OpenFarm", report: "MorningReport | None", rows: "Sequence[Standing]"
) -> tuple[str, ...]:
    """What keeps today's morning from being told whole, a line each; empty where nothing does.

    Counted anew from the config and the outbox (``rows``), by code that sent nothing.
    """
    if report is None:
        return ("no morning of today is kept",)
    return (*_uncounted(report, farm), *_unsent(rows), *_unplanned(rows, farm, farm.now))


def _uncounted(report: "MorningReport", farm: "OpenFarm") -> list[str]:
    counted, listed = sum(report.run.counts.values()), len({one.field.id for one in report.fields})
    registered = {one.id for one in farm.config.fields}
    if not counted == listed == report.run.fields == len(registered):
        return [f"fields: {len(registered)} registered, {listed} in the morning, {counted} counted"]
    missing = registered - {one.field.id for one in report.fields}
    return [f"fields: {len(missing)} registered are not in the morning"] if missing else []


def _unsent(rows: "Iterable[Standing]") -> list[str]:
    open_rows = [state for *_, state in rows if state not in _SETTLED]
    return [f"messages: {len(open_rows)} not sent"] if open_rows else []


def _unplanned(rows: "Iterable[Standing]", farm: "OpenFarm", now: datetime) -> list[str]:
    """Readers who may be written to, and have no message."""
    settings = farm.config.settings
    rules = contact_rules(farm.config, farm.stores.consents)
    have = {(person_id, channel) for person_id, channel, *_ in rows}
    owed = [
        (person.id, channel)
        for person in settings.people
        for channel, address, there in (
            ("mail", person.email, settings.mail),
            ("sms", person.phone, settings.sms),
        )
        if there is not None and address and (person.id, channel) not in have
        if not rules.why_not(channel, address, now)
    ]
    return [f"messages: {len(owed)} readers have none"] if owed else []
