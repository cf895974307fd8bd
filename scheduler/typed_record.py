"""What a record typed at the command line is checked for: its moment, its numbers, its texts."""

import json
import re
from collections.abc import Mapping
from datetime import UTC, date, datetime, time
from uuid import NAMESPACE_URL, UUID, uuid5
from zoneinfo import ZoneInfo

from pydantic import BaseModel

from agronomy.season import season_start
from farm.field import Field
from scheduler.clock import ClockError, local_moment
from scheduler.data_error import DataError


def typed_moment(kind: str, text: str, field: Field, now: datetime, alone_at_h: int) -> datetime:
    """The moment typed for a record, as UTC; without an offset it is in the field's zone.

    Parameters
    ----------
    kind
        What is recorded, for messages.
    alone_at_h
        Local hour that a date alone stands for [h]; today's, if still to come, is now.

    Raises
    ------
    DataError
        It cannot be read, lies ahead of ``now``, or before the field was planted.
    """
    zone = ZoneInfo(field.time_zone)
    try:
        when = _moment(text.strip(), zone, now, alone_at_h)
    except ClockError as fault:
        raise DataError([f"{kind}: when: {fault}, or the date alone"]) from None
    except OverflowError:
        raise DataError([f'{kind}: when: got "{text}", wanted a date of this season']) from None
    if when > now:
        raise DataError([f'{kind}: when: got "{text}", wanted no later than now; check the date'])
    if field.planted_on and when.astimezone(zone).date() < field.planted_on:
        raise DataError(
            [
                f'{kind}: when: got "{text}", wanted after the planting of {field.name} on '
                f"{field.planted_on}; check the date"
            ]
        )
    return when


def is_date_alone(text: str) -> bool:
    """Whether a moment was typed as a date without a time."""
    try:
        date.fromisoformat(text.strip())
    except ValueError:
        return False
    return True


def _moment(text: str, zone: ZoneInfo, now: datetime, alone_at_h: int) -> datetime:
    if not is_date_alone(text):
        return local_moment(text, zone)
    on = date.fromisoformat(text)
    when = datetime.combine(on, time(alone_at_h), zone).astimezone(UTC)
    return min(when, now) if on == now.astimezone(zone).date() else when


def typed_number(kind: str, name: str, text: str, low: float, high: float, unit: str) -> float:
    """A number within limits; DataError if it is none or lies outside them."""
    plain = text.strip()
    if re.fullmatch(r"-?\d{1,6}(\.\d{1,6})?", plain) and low <= float(plain) <= high:
        return float(plain)
    hint = "write the decimal with a point" if "," in plain else "correct it"
    raise DataError(
        [f'{kind}: {name}: got "{text}", wanted a number {low:g} to {high:g} {unit}; {hint}']
    )


def limits(model: type[BaseModel], name: str) -> tuple[float, float]:
    """Least and most an attribute may hold."""
    low, high = float("-inf"), float("inf")
    for mark in model.model_fields[name].metadata:
        low, high = float(getattr(mark, "ge", low)), float(getattr(mark, "le", high))
    return low, high


def refuse_long(kind: str, model: type[BaseModel], texts: Mapping[str, str]) -> None:
    """Raise DataError for a text longer than its attribute may be."""
    for name, text in texts.items():
        longest = next(
            mark.max_length
            for mark in model.model_fields[name].metadata
            if hasattr(mark, "max_length")
        )
        if len(text) > longest:
            raise DataError(
                [f"{kind}: {name}: got {len(text)} letters, wanted at most {longest}; shorten it"]
            )


def content_uuid(kind: str, *content: object) -> UUID:
    """A uuid made from the content, so that the same record typed again is the same record."""
    return uuid5(uuid5(NAMESPACE_URL, f"warmspell:{kind}"), json.dumps(content))


def season_of(moment_utc: datetime, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """First moment of the season a moment belongs to, and of the season after it."""
    first = season_start(moment_utc.astimezone(zone).date())
    after = first.replace(year=first.year + 1)
    return datetime.combine(first, time(), zone), datetime.combine(after, time(), zone)


def past_season_note(moment_utc: datetime, now: datetime, zone: ZoneInfo) -> str | None:
    """What to tell of a record that belongs to an earlier season than today, else None."""
    begins = season_of(now, zone)[0]
    if moment_utc >= begins:
        return None
    return (
        f"{moment_utc.astimezone(zone):%Y-%m-%d} lies before this season, which began on "
        f"{begins:%Y-%m-%d}: kept, but no call of today rests on it; check the date"
    )
