"""The hours of each day as a card: what they allow, temperature, rain and wind above one clock."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from itertools import groupby

from dispatch.words import LocalClock, day
from web.field_hours import HOUR, Hours, percent
from web.units import Units, shown

#: Width of a card [units of its drawing], and its bands, each from top to bottom.
WIDE = 288.0
TEMP, RAIN, WIND = (32.0, 112.0), (124.0, 146.0), (158.0, 184.0)
#: Room above the warmest and below the coldest hour [F].
ROOM_F = 8.0
#: Least speed at the top of the band of the wind [mph]; judgement.
WIND_TOP_MPH = 20.0
#: Hours of a day that are named below its card.
NAMED = {0: "12 am", 6: "6 am", 12: "noon", 18: "6 pm"}


@dataclass(frozen=True)
class Run:
    """Hours of one value: where they are drawn, and what they are."""

    x: float
    wide: float
    value: str
    title: str


@dataclass(frozen=True)
class Box:
    """A filled piece of a card."""

    x: float
    y: float
    wide: float
    tall: float


@dataclass(frozen=True)
class Spot:
    """A place with a word beside it."""

    x: float
    y: float
    word: str


@dataclass(frozen=True)
class DayCard:
    """One day, drawn. ``in_words`` says the same to those who cannot see it.

    ``temp`` and ``wind`` are lines, each piece the points of an SVG polyline, and ``unknown``
    boxes over hours that are not told.
    """

    title: str
    in_words: str
    spray: tuple[Run, ...]
    temp: tuple[str, ...]
    lows: tuple[Spot, ...]
    freeze: Spot
    killing: Spot
    rain: tuple[Box, ...]
    wind: tuple[str, ...]
    wind_band: Box
    unknown: tuple[Box, ...]
    ticks: tuple[Spot, ...]


@dataclass(frozen=True)
class _Day:
    """The hours of one day and where they stand on its card."""

    hours: Hours
    own: Sequence[int]
    begin_utc: datetime
    length_h: float

    def x(self, moment_utc: datetime) -> float:
        return round((moment_utc - self.begin_utc) / HOUR * WIDE / self.length_h, 1)

    def runs(self, values: Sequence[object]) -> list[tuple[object, int, int]]:
        return runs_of(values, self.own)

    def box(self, first: int, after: int, top: float, bottom: float) -> Box:
        """From one hour to another, between two heights."""
        x, end = self.x(self.hours.moment(first)), self.x(self.hours.moment(after))
        return Box(x, round(top, 1), round(end - x, 1), round(bottom - top, 1))


def runs_of(values: Sequence[object], hours: Sequence[int]) -> list[tuple[object, int, int]]:
    """Runs of one value among some hours, each with its first hour and the hour after its last."""
    groups = (list(run) for _, run in groupby(hours, key=lambda hour: values[hour]))
    return [(values[run[0]], run[0], run[-1] + 1) for run in groups]


def day_cards(hours: Hours, clock: LocalClock, units: Units) -> tuple[DayCard, ...]:
    """A card for each local day that holds an hour."""
    days: dict[date, list[int]] = {}
    for hour in range(len(hours)):
        days.setdefault(clock.local(hours.moment(hour)).date(), []).append(hour)
    return tuple(_card(hours, on, own, clock, units) for on, own in days.items())


def _card(hours: Hours, on: date, own: list[int], clock: LocalClock, units: Units) -> DayCard:
    begin, end = (
        datetime.combine(of, time(), clock.zone).astimezone(UTC)
        for of in (on, on + timedelta(days=1))
    )
    one = _Day(hours, own, begin, (end - begin) / HOUR)
    cold, warm = range_f(hours)
    windiest = max([WIND_TOP_MPH, *(speed for speed in hours.wind_mph if speed is not None)])

    def temp_y(value_f: float) -> float:
        return _y(value_f, cold, warm, TEMP)

    def wind_y(value_mph: float) -> float:
        return _y(value_mph, 0, windiest, WIND)

    low_mph, high_mph = hours.wind_band_mph
    return DayCard(
        title=day(on),
        in_words=_in_words(hours, own, clock, units),
        spray=_spray(one, clock),
        temp=_line(one, hours.temp_f, temp_y),
        lows=tuple(
            Spot(one.x(at + HOUR / 2), temp_y(low), shown(low, "temp", units))
            for at, low in hours.lows
            if clock.local(at).date() == on
        ),
        freeze=Spot(0, temp_y(hours.freeze_f), shown(hours.freeze_f, "temp", units)),
        killing=Spot(0, temp_y(hours.killing_f), shown(hours.killing_f, "temp", units)),
        rain=_rain(one),
        wind=_line(one, hours.wind_mph, wind_y),
        wind_band=Box(0, wind_y(high_mph), WIDE, round(wind_y(low_mph) - wind_y(high_mph), 1)),
        unknown=_unknown(one),
        ticks=tuple(
            Spot(one.x(datetime.combine(on, time(at), clock.zone).astimezone(UTC)), 0, word)
            for at, word in NAMED.items()
        ),
    )


def range_f(hours: Hours) -> tuple[float, float]:
    """The coldest and warmest that all cards have room for, the killing line among them."""
    told = [one for one in hours.temp_f if one is not None] + [low for _, low in hours.lows]
    told += [hours.killing_f, hours.freeze_f]
    return min(told) - ROOM_F, max(told) + ROOM_F


def _y(value: float, least: float, most: float, band: tuple[float, float]) -> float:
    top, bottom = band
    return round(bottom - (value - least) / (most - least) * (bottom - top), 1)


def _spray(one: _Day, clock: LocalClock) -> tuple[Run, ...]:
    hours = one.hours
    if not hours.spray:
        return ()
    runs = []
    for value, first, after in one.runs(hours.spray):
        box = one.box(first, after, 0, 0)
        when = clock.span(hours.moment(first), hours.moment(after))
        runs.append(Run(box.x, box.wide, str(value), f"{when}: {hours.may_start(first)}"))
    return tuple(runs)


def _line(
    one: _Day, values: Sequence[float | None], y: Callable[[float], float]
) -> tuple[str, ...]:
    """One value an hour, at its middle; an unknown hour breaks the line."""
    pieces: list[list[str]] = [[]]
    for hour in one.own:
        value = values[hour]
        if value is None:
            pieces.append([])
        else:
            pieces[-1].append(f"{one.x(one.hours.moment(hour) + HOUR / 2)},{y(value)}")
    return tuple(" ".join(piece) for piece in pieces if piece)


def _rain(one: _Day) -> tuple[Box, ...]:
    top, bottom = RAIN
    return tuple(
        one.box(first, after, _y(value, 0, 100, (top, bottom)), bottom)
        for value, first, after in one.runs(one.hours.rain_pct)
        if isinstance(value, float)
    )


def _unknown(one: _Day) -> tuple[Box, ...]:
    bands = ((one.hours.temp_f, TEMP), (one.hours.rain_pct, RAIN), (one.hours.wind_mph, WIND))
    return tuple(
        one.box(first, after, *band)
        for values, band in bands
        for value, first, after in one.runs(values)
        if value is None
    )


def _in_words(hours: Hours, own: Sequence[int], clock: LocalClock, units: Units) -> str:
    """A day's figures, as far as they are told, and its windows."""
    parts = []
    warm = [value for hour in own if (value := hours.temp_f[hour]) is not None]
    wind = [value for hour in own if (value := hours.wind_mph[hour]) is not None]
    rain = [value for hour in own if (value := hours.rain_pct[hour]) is not None]
    if warm:
        least, most = (shown(of(warm), "temp", units) for of in (min, max))
        parts.append(f"{least} to {most}")
    if wind:
        parts.append(f"wind to {shown(max(wind), 'speed', units)}")
    if rain:
        parts.append(f"rain chance to {percent(max(rain))}")
    if len(own) > min(len(warm), len(wind), len(rain)):
        parts.append("some hours are not known")
    return ", ".join(parts)
