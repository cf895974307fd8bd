"""A farm's own errors of forecast lows at work: read for a morning, kept, taken back."""

from collections import Counter
from collections.abc import Iterable
from datetime import datetime
from typing import TYPE_CHECKING
from uuid import uuid4
from zoneinfo import ZoneInfo

from agronomy.hourly_forecast import HourlyForecast
from agronomy.own_low_errors import NIGHTS_MIN, OwnLowErrors, own_leads
from config.farm_config import FarmConfig
from dispatch.own_error_figures import OwnErrorFigures
from dispatch.own_errors import by_hand_words, not_readable, with_own_errors
from dispatch.policy import DispatchPolicy
from dispatch.words import plural
from storage.errors import StorageError
from storage.stores import Stores

if TYPE_CHECKING:
    from scheduler.verified import SourceScores

#: What a row that was kept and is gone is told as.
GONE = (
    "those the last morning counted with are not in the database any more; keep them anew with "
    "warmspell verify --keep, or put back a backup"
)


def policy_with_own_errors(
    config: FarmConfig, stores: Stores, forecast: HourlyForecast, now: datetime
) -> tuple[DispatchPolicy, OwnErrorFigures | None]:
    """The policy of a morning whose forecast is known, and what is told of its errors of lows.

    What cannot be read costs nobody the morning: then it is the policy of the settings.
    """
    policy = config.settings.dispatch
    try:
        kept = stores.own_errors.standing(now)
    except StorageError as fault:
        return policy, not_readable(f"they cannot be read: {fault}")
    if not kept and _counted_last(stores, now):
        return policy, not_readable(GONE)
    today = now.astimezone(ZoneInfo(config.time_zone)).date()
    return with_own_errors(policy, kept, leading_source(forecast), today)


def leading_source(forecast: HourlyForecast) -> str:
    """Whose forecast most cells have, "" where none is known."""
    told = Counter(one for one in forecast.source if one).most_common(1)
    return told[0][0] if told else ""


def keep_own_errors(
    stores: Stores, sources: Iterable["SourceScores"], observed: str, now: datetime
) -> tuple[list[str], list[str]]:
    """Keep the errors of every source with enough nights; what was kept, and what was not."""
    kept, refused = [], []
    for one in sources:
        leads = own_leads(one.low_errors)
        if not leads or one.first_on is None or one.last_on is None:
            most = max((lead.nights for lead in one.low_errors), default=0)
            refused.append(
                f"verify --keep: got {plural(most, 'night')} of {one.source} at most, wanted "
                f"{NIGHTS_MIN} of one day ahead; nothing was kept of it"
            )
            continue
        stores.own_errors.add(
            OwnLowErrors(
                uuid=uuid4(),
                source=one.source,
                kept_utc=now,
                first_on=one.first_on,
                last_on=one.last_on,
                observed=observed[:2000],
                leads=leads,
            )
        )
        kept.append(
            f"Kept: errors of lows of {one.source}, {plural(leads[0].nights, 'night')} "
            f"{plural(leads[0].lead_days, 'day')} ahead. Mornings count with them from now on; "
            "warmspell verify --forget takes them back."
        )
    return kept, refused


def forget_own_errors(stores: Stores, now: datetime) -> list[str]:
    """Take back what was kept of every source, or cannot be read or found; a line for each."""
    try:
        kept = [one.source for one in stores.own_errors.standing(now) if not one.forgotten]
        lost = not kept and _counted_last(stores, now)
    except StorageError:
        kept, lost = [], True
    names = ["all sources"] if lost else kept
    for one in names:
        taken_back = OwnLowErrors(
            uuid=uuid4(),
            source=one,
            kept_utc=now,
            first_on=now.date(),
            last_on=now.date(),
            forgotten=True,
        )
        stores.own_errors.add(taken_back)
    return [f"Taken back: own errors of lows of {one}." for one in names]


def kept_lines(config: FarmConfig, kept: Iterable[OwnLowErrors]) -> list[str]:
    """What the database holds and whether mornings count with it, a line each."""
    by_hand = by_hand_words(config.settings.dispatch)
    lines = []
    for one in kept:
        if one.forgotten or not one.leads:
            continue
        first = one.leads[0]
        said = f"not used: {by_hand}" if by_hand else f"used while {one.source} leads"
        lines.append(
            f"Own errors of lows: {one.source}, {plural(first.nights, 'night')} "
            f"{plural(first.lead_days, 'day')} ahead, kept {one.kept_utc:%Y-%m-%d}; {said}"
        )
    return lines


def _counted_last(stores: Stores, now: datetime) -> bool:
    """Whether the last morning counted with errors that were kept, or missed them."""
    try:
        told = stores.plans.last_inputs(now).get("own_low_errors")
    except StorageError:
        return False
    return isinstance(told, dict) and (bool(told.get("leads")) or told.get("why_not") == GONE)
