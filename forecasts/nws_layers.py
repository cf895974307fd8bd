"""The layers of the US National Weather Service that we use: their names and units into ours."""

from typing import Literal, NamedTuple

import msgspec
import numpy as np

from agronomy.hourly_forecast import Hours
from forecasts.interval import hours_of
from forecasts.runs import Real, Runs, Whole, by_hour
from forecasts.units import Kind, to_house


class Layer(NamedTuple):
    """One quantity of ours and how the provider tells it.

    ``words`` is what growers call it. ``told`` says what a value means: the same in every hour of
    its interval, a total over the interval, or the lowest of a night window. ``low`` and
    ``high`` bound what can be true, in the house unit; a layer beyond them is refused.
    """

    name: str
    words: str
    kind: Kind
    told: Literal["each hour", "total", "night window"]
    low: float
    high: float


#: The provider's layer names and ours. Bounds are judgement: wider than any cotton country has
#: seen, narrower than a mix-up of units; humidity may overshoot by rounding.
VARIABLE_MAP: dict[str, Layer] = {
    "temperature": Layer("temp_f", "temperature", "temp_f", "each hour", -60, 135),
    "minTemperature": Layer("window_low_f", "night low", "temp_f", "night window", -60, 135),
    "relativeHumidity": Layer("humidity_pct", "humidity", "share_pct", "each hour", 0, 100.5),
    "windSpeed": Layer("wind_mph", "wind", "speed_mph", "each hour", 0, 200),
    "windGust": Layer("gust_mph", "gusts", "speed_mph", "each hour", 0, 200),
    "windDirection": Layer("wind_from_deg", "wind direction", "angle_deg", "each hour", 0, 360),
    "skyCover": Layer("sky_pct", "cloud", "share_pct", "each hour", 0, 100.5),
    "quantitativePrecipitation": Layer("rain_in", "rain", "rain_in", "total", 0, 6),
    "probabilityOfPrecipitation": Layer(
        "rain_chance_pct", "chance of rain", "share_pct", "each hour", 0, 100
    ),
}

#: Shortest night window [h]. A whole one is 14 h; the first of an answer is often cut, and what
#: is left of it may no longer hold the night's lowest hour.
SHORTEST_WINDOW_H = 8

#: Longest interval, and longest answer, that is believed [h].
LONGEST_H = 400

#: The service rounds to whole degrees F and sends degrees C; nearer than this [F] it was whole.
WHOLE_DEGREE_F = 0.02


class _Value(msgspec.Struct, rename="camel", gc=False):
    valid_time: str
    value: float | None


class _Layer(msgspec.Struct):
    values: list[_Value]
    uom: str | None = None


_decoder = msgspec.json.Decoder(_Layer)


class LayerRuns(NamedTuple):
    """One layer in house units, and what of it was refused, in plain words."""

    runs: Runs
    refused: tuple[str, ...] = ()


NOTHING = Runs(np.empty(0, np.int64), np.empty(0, np.int64), np.empty(0))


def read_layer(raw: msgspec.Raw, layer: Layer) -> LayerRuns:
    """Read one layer of an answer; what cannot be trusted is refused, with the reason."""
    try:
        told = _decoder.decode(raw) if raw else None
    except (msgspec.MsgspecError, RecursionError, UnicodeDecodeError) as error:
        return LayerRuns(NOTHING, (f"{layer.words}: not in the form expected ({error})",))
    if told is None:
        return LayerRuns(NOTHING, (f"{layer.words}: missing from the answer",))
    if not told.values:
        return LayerRuns(NOTHING)
    try:
        factor, offset = to_house(layer.kind, told.uom)
    except ValueError as error:
        return LayerRuns(NOTHING, (f"{layer.words}: {error}",))
    first, end, value, unreadable = _timed(told.values)
    house = value * factor + offset
    if layer.kind == "temp_f":
        house = _whole_degrees(house)
    runs = _as_told(Runs(first, end, house), layer)
    outside = _outside(runs.value, layer)
    if outside:
        return LayerRuns(NOTHING, (outside,))
    return LayerRuns(runs, tuple(f"{layer.words}: {text}" for text in unreadable))


def lay_out(layer: Layer, read: LayerRuns, start: int, hours: int) -> tuple[Hours, tuple[str, ...]]:
    """A layer hour by hour from hour ``start``, and all that was refused of it."""
    grid, torn = by_hour(read.runs, start, hours)
    if not torn:
        return grid, read.refused
    word = "hour was" if torn == 1 else "hours were"
    return grid, (*read.refused, f"{layer.words}: {torn} {word} told twice, differently")


def _timed(values: list[_Value]) -> tuple[Whole, Whole, Real, list[str]]:
    """Intervals and values; an interval that cannot be read costs its value, and says so."""
    refused: list[str] = []
    try:
        spans = [hours_of(one.valid_time) for one in values]
    except ValueError:
        values, spans, refused = _readable(values)
    hours = np.array(spans, dtype=np.int64).reshape(-1, 2)
    value = np.array([one.value for one in values], dtype=float)
    short = hours[:, 1] - hours[:, 0] <= LONGEST_H
    if not short.all():
        refused.append(f"an interval was refused: wanted at most {LONGEST_H} h")
        hours, value = hours[short], value[short]
    return hours[:, 0], hours[:, 1], value, refused


def _readable(
    values: list[_Value],
) -> tuple[list[_Value], list[tuple[int, int]], list[str]]:
    kept, spans, refused = [], [], []
    for one in values:
        try:
            spans.append(hours_of(one.valid_time))
            kept.append(one)
        except ValueError as error:
            refused.append(f"an interval was refused: {error}")
    if len(refused) > 2:
        refused[1:] = [f"{len(refused) - 1} more intervals were refused"]
    return kept, spans, refused


def _as_told(runs: Runs, layer: Layer) -> Runs:
    if layer.told == "total":
        return runs.split()
    if layer.told == "night window":
        return runs.at_least(SHORTEST_WINDOW_H)
    return runs


def _whole_degrees(temp_f: Real) -> Real:
    whole = np.rint(temp_f)
    return np.where(np.abs(temp_f - whole) <= WHOLE_DEGREE_F, whole, temp_f)


def _outside(value: Real, layer: Layer) -> str:
    """Why the layer cannot be true, or nothing."""
    bad = value[(value < layer.low) | (value > layer.high) | np.isinf(value)]
    if not bad.size:
        return ""
    return f"{layer.words}: got {bad[0]:g}, wanted {layer.low:g} to {layer.high:g}"
