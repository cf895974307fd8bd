"""Answers of MET Norway taken apart: what is told at a time, and what of the hours to come."""

from datetime import UTC, datetime
from typing import Any, NamedTuple

import msgspec

from forecasts.columns import hours_believed
from forecasts.errors import ForecastError
from forecasts.interval import EPOCH


class Part(msgspec.Struct):
    """Figures by name."""

    details: dict[str, Any] = {}


class Data(msgspec.Struct):
    """What is told at a time: of the instant, and of the hours to come."""

    instant: Part
    next_1_hours: Part | None = None
    next_6_hours: Part | None = None


class Entry(msgspec.Struct):
    """One time of the series."""

    time: str
    data: Data


class Meta(msgspec.Struct):
    """When the forecast was updated, and the units of its figures."""

    units: dict[str, Any]
    updated_at: Any = None


class Properties(msgspec.Struct):
    """The forecast."""

    meta: Meta
    timeseries: list[Entry]


class Point(msgspec.Struct):
    """Longitude and latitude [deg], and height above the sea [m] where told."""

    coordinates: list[float]


class Answer(msgspec.Struct):
    """The whole answer."""

    geometry: Point
    properties: Properties


class Span(NamedTuple):
    """What an entry tells of the hours ``first`` up to ``end`` [h since 1970 UTC]."""

    first: int
    end: int
    details: dict[str, Any]


_decoder = msgspec.json.Decoder(Answer)


def decoded(body: bytes) -> Answer:
    """The answer; `ForecastError` where it cannot be read."""
    try:
        answer = _decoder.decode(body)
    except (msgspec.MsgspecError, RecursionError, UnicodeDecodeError) as error:
        raise ForecastError(f"MET Norway's answer could not be read ({error})", True) from error
    if len(answer.geometry.coordinates) < 2:
        raise ForecastError("MET Norway's answer does not say which place it is for", True)
    return answer


def timed(told: Properties) -> list[tuple[int, Entry]]:
    """The entries and their hours, in order."""
    try:
        hours = [_hour(one.time) for one in told.timeseries]
    except (ValueError, OverflowError) as error:
        raise ForecastError(f"MET Norway's answer tells no usable time ({error})", True) from error
    if not hours_believed(hours):
        raise ForecastError("MET Norway's answer tells no hours", True)
    return sorted(zip(hours, told.timeseries, strict=True), key=lambda pair: pair[0])


def _hour(text: str) -> int:
    moment = datetime.fromisoformat(text)
    if moment.tzinfo is None or moment.minute or moment.second or moment.microsecond:
        raise ValueError(f"got {text[:40]!r}, wanted a whole hour with its offset from UTC")
    since = moment.astimezone(UTC) - EPOCH
    return since.days * 24 + since.seconds // 3600


def hours_ahead(entries: list[tuple[int, Entry]]) -> list[Span]:
    """What is told of the hours to come, each hour once: by the hour where any of it is, else by
    six, since the six hours after an hourly entry are those of the next five entries again.
    """
    hourly = {
        first: part.details
        for first, entry in entries
        if (part := entry.data.next_1_hours) is not None and part.details
    }
    spans = [Span(first, first + 1, details) for first, details in hourly.items()]
    end = 0
    for first, entry in entries:
        part = entry.data.next_6_hours
        if part is None or first < end or any(first + step in hourly for step in range(6)):
            continue
        spans.append(Span(first, first + 6, part.details))
        end = first + 6
    return spans
