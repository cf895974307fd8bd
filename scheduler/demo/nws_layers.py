"""The raw layers of a gridpoint answer, as the US Weather Service's API writes them.

Equal hours are run together into ISO-8601 intervals, rain totals keep their own steps, highs and
lows have the windows of the Central time zone's offices, and whole degrees and knots arrive as
Celsius and kilometres an hour.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Any

from scheduler.demo.weather import HourlyWeather

Layer = dict[str, Any]
Span = tuple[datetime, datetime]
Value = tuple[datetime, datetime, Any]

#: Kilometres an hour in a knot. Definition.
KM_H_PER_KNOT = 1.852
#: Millimetres in an inch. Definition.
MM_PER_IN = 25.4
#: First UTC hour and length [h] of a day's high and a night's low, Central offices.
HIGH_WINDOW, LOW_WINDOW = (13, 13), (1, 14)
#: Least part of a last window inside the answer for it to be given [h].
LAST_WINDOW_MIN_H = 8
#: Amounts that are totals over their interval and are never run together.
TOTALS = frozenset({"quantitativePrecipitation", "iceAccumulation", "snowfallAmount"})
#: Layers the service always names, empty here.
EMPTY_LAYERS = (
    "hazards",
    "snowLevel",
    "ceilingHeight",
    "visibility",
    "lightningActivityLevel",
    "pressure",
    "probabilityOfThunder",
)
HOUR = timedelta(hours=1)
CELSIUS, PERCENT, KM_H, MM = "wmoUnit:degC", "wmoUnit:percent", "wmoUnit:km_h-1", "wmoUnit:mm"


@dataclass(frozen=True)
class Holes:
    """Hours an answer leaves out: ``left_out`` have no interval, ``nulled`` a null value."""

    left_out: Mapping[str, Span] = field(default_factory=dict)
    nulled: Mapping[str, Span] = field(default_factory=dict)


def layers_of(weather: HourlyWeather, holes: Holes) -> dict[str, Layer]:
    """Every layer of ``weather`` by the provider's name, pierced by ``holes``."""
    rain = weather.rain
    temp_c = _hourly(weather, map(_celsius, weather.temp_f))
    no_frozen = [(block.start_utc, block.end_utc, 0) for block in rain]
    values: dict[str, tuple[str | None, list[Value]]] = {
        "temperature": (CELSIUS, temp_c),
        "dewpoint": (CELSIUS, _hourly(weather, map(_celsius, weather.dew_f))),
        "maxTemperature": (CELSIUS, _windows(weather, *HIGH_WINDOW, max)),
        "minTemperature": (CELSIUS, _windows(weather, *LOW_WINDOW, min)),
        "relativeHumidity": (PERCENT, _hourly(weather, map(int, weather.humidity_pct))),
        "apparentTemperature": (CELSIUS, temp_c),
        "skyCover": (PERCENT, _hourly(weather, map(int, weather.sky_pct))),
        "windDirection": (
            "wmoUnit:degree_(angle)",
            _hourly(weather, map(int, weather.wind_from_deg)),
        ),
        "windSpeed": (KM_H, _hourly(weather, map(_km_h, weather.wind_kt))),
        "windGust": (KM_H, _hourly(weather, map(_km_h, weather.gust_kt))),
        "weather": (None, [(block.start_utc, block.end_utc, _sky_says(block)) for block in rain]),
        "probabilityOfPrecipitation": (
            PERCENT,
            [(block.start_utc, block.end_utc, block.chance_pct) for block in rain],
        ),
        "quantitativePrecipitation": (
            MM,
            [(b.start_utc, b.end_utc, round(b.total_in * MM_PER_IN, 3)) for b in rain],
        ),
        "iceAccumulation": (MM, no_frozen),
        "snowfallAmount": (MM, no_frozen),
    }
    layers = {
        name: _layer(unit, _pierced(spans, name, holes), merge=name not in TOTALS)
        for name, (unit, spans) in values.items()
    }
    return layers | {name: {"values": []} for name in EMPTY_LAYERS}


def duration(length: timedelta) -> str:
    """``length`` in whole hours, as in P8DT14H, PT6H or P1D."""
    days, hours = divmod(length // HOUR, 24)
    return "P" + (f"{days}D" if days else "") + (f"T{hours}H" if hours else "")


def _celsius(temp_f: float) -> float:
    return (float(temp_f) - 32) / 1.8


def _km_h(speed_kt: float) -> float:
    return round(float(speed_kt) * KM_H_PER_KNOT, 3)


def _hourly(weather: HourlyWeather, values: Iterable[Any]) -> list[Value]:
    start = weather.start_utc
    return [(start + n * HOUR, start + (n + 1) * HOUR, value) for n, value in enumerate(values)]


def _windows(
    weather: HourlyWeather, first_hour: int, length_h: int, pick: Callable[..., Any]
) -> list[Value]:
    """The highs or lows of the windows the answer touches, the first one perhaps cut short."""
    end = weather.start_utc + weather.hours * HOUR
    opens = weather.start_utc.replace(hour=first_hour) - timedelta(days=1)
    windows: list[Value] = []
    while (end - opens) / HOUR >= LAST_WINDOW_MIN_H:
        closes = opens + length_h * HOUR
        begin = max(opens, weather.start_utc)
        if closes > begin:
            first, last = ((at - weather.start_utc) // HOUR for at in (begin, closes))
            windows.append((begin, closes, _celsius(pick(weather.temp_f[first:last]))))
        opens += timedelta(days=1)
    return windows


def _sky_says(block: Any) -> list[dict[str, Any]]:
    raining = block.chance_pct >= 15
    likely = "likely" if block.chance_pct >= 55 else "chance"
    return [
        {
            "coverage": likely if raining else None,
            "weather": "rain_showers" if raining else None,
            "intensity": "light" if raining else None,
            "visibility": {"unitCode": "wmoUnit:km", "value": None},
            "attributes": [],
        }
    ]


def _pierced(spans: list[Value], name: str, holes: Holes) -> list[Value]:
    gap, null = holes.left_out.get(name), holes.nulled.get(name)
    kept = [span for span in spans if not (gap and _overlap(span, gap))]
    return [
        (start, end, None) if null and _overlap((start, end, value), null) else (start, end, value)
        for start, end, value in kept
    ]


def _overlap(span: Value, hole: Span) -> bool:
    return span[0] < hole[1] and hole[0] < span[1]


def _layer(unit: str | None, spans: list[Value], *, merge: bool) -> Layer:
    runs = _run_together(spans) if merge else spans
    values = [
        {"validTime": f"{start.isoformat()}/{duration(end - start)}", "value": value}
        for start, end, value in runs
    ]
    return {"uom": unit, "values": values} if unit else {"values": values}


def _run_together(spans: list[Value]) -> list[Value]:
    if not spans:
        return []
    begins = [0] + [
        n
        for n, (one, after) in enumerate(pairwise(spans), start=1)
        if one[1] != after[0] or one[2] != after[2]
    ]
    ends = [*begins[1:], len(spans)]
    return [
        (spans[first][0], spans[last - 1][1], spans[first][2])
        for first, last in zip(begins, ends, strict=True)
    ]
