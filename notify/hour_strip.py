"""The next hours of a field as a row of cells: bar height and shade both carry the value."""

from dataclasses import dataclass
from datetime import timedelta
from itertools import groupby

from dispatch.report import HourStrip, SprayHour
from dispatch.words import WEEKDAYS, LocalClock

#: Hours shown [h]; more would leave less than eight pixels an hour on a phone.
SHOWN_H = 36
#: Hours between two ticks [h].
TICK_H = 6

#: What an hour allows, in words.
SAID: dict[SprayHour, str] = {
    "full": "full window",
    "partial": "part of a window",
    "no": "no spraying",
    "unknown": "not known",
}


@dataclass(frozen=True)
class Cell:
    """A run of hours of one value: ``width_pct`` of the strip, ``title`` says when and what."""

    spray: str
    width_pct: str
    title: str


@dataclass(frozen=True)
class Tick:
    """A stretch below the strip, with the hour it begins at."""

    width_pct: str
    label: str


@dataclass(frozen=True)
class Strip:
    """What the template draws, and the same in words for those who cannot see it."""

    cells: tuple[Cell, ...]
    ticks: tuple[Tick, ...]
    in_words: str


def draw_strip(strip: HourStrip, clock: LocalClock) -> Strip | None:
    """The first 36 hours of a strip, or None where it holds no hour."""
    values = strip.spray[:SHOWN_H]
    if not values:
        return None
    cells, said, first = [], [], 0
    for value, run in groupby(values):
        last = first + len(list(run))
        start = strip.start_utc + timedelta(hours=first)
        words = f"{clock.span(start, strip.start_utc + timedelta(hours=last))} {SAID[value]}"
        why = strip.why_not[first] if first < len(strip.why_not) else ""
        title = f"{words} ({why})" if why and value != "full" else words
        cells.append(Cell(value, _share(last - first, len(values)), title))
        said.append(words)
        first = last
    in_words = f"Next {len(values)} hours: " + ", ".join(said) + "."
    return Strip(tuple(cells), _ticks(strip, clock, len(values)), in_words)


def _ticks(strip: HourStrip, clock: LocalClock, hours: int) -> tuple[Tick, ...]:
    """Stretches between the hours whose local clock reads 12 am, 6 am, noon and 6 pm."""
    starts = [
        hour
        for hour in range(hours)
        if hour == 0
        or (
            clock.local(strip.start_utc + timedelta(hours=hour)).hour % TICK_H == 0
            and clock.local(strip.start_utc + timedelta(hours=hour - 1)).hour % TICK_H != 0
        )
    ]
    stretches = zip(starts, [*starts[1:], hours], strict=True)
    return tuple(
        # A stretch of three hours or less has no room for its label.
        Tick(_share(end - start, hours), _label(strip, clock, start) if end - start > 3 else "")
        for start, end in stretches
    )


def _label(strip: HourStrip, clock: LocalClock, hour: int) -> str:
    local = clock.local(strip.start_utc + timedelta(hours=hour))
    if local.hour == 0:
        return WEEKDAYS[local.weekday()]
    return "noon" if local.hour == 12 else f"{local.hour % 12} {'am' if local.hour < 12 else 'pm'}"


def _share(hours: int, of: int) -> str:
    return f"{100 * hours / of:.2f}"
