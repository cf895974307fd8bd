"""The layers of the US National Weather Service that we use: their names and units into ours."""

from collections.abc import Sequence
from typing import Literal, NamedTuple

import msgspec
import numpy as np

from agronomy.hourly_forecast import Hours
from forecasts.interval import PACKED_HOURS, unpacked
from forecasts.runs import Real, Runs, by_hour
from forecasts.units import AS_IT_IS, Conversion, Kind, to_house


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

    def told_twice(self, hours: int) -> str:
        """Why some hours of it are not known."""
        word = "hour was" if hours == 1 else "hours were"
        return f"{self.words}: {hours} {word} told twice, differently"

    def beyond(self, value: float) -> str:
        """Why all of it is refused, for a value beyond its bounds."""
        return f"{self.words}: got {value:g}, wanted {self.low:g} to {self.high:g}"


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


class Entry(msgspec.Struct, rename="camel", gc=False):
    """One value and the interval it is told for."""

    valid_time: str
    value: float | None


class ToldLayer(msgspec.Struct):
    """One layer as it stands in an answer that keeps the form."""

    values: list[Entry]
    uom: str | None = None


#: A layer of an answer as it was found: in form, still unread because the answer is out of form
#: somewhere, or not there.
FoundLayer = ToldLayer | msgspec.Raw | msgspec.UnsetType

_decoder = msgspec.json.Decoder(ToldLayer)


class LayerRuns(NamedTuple):
    """All layers in house units, a row each in the order of `VARIABLE_MAP`.

    ``refused`` holds for each row what of it was refused, in plain words.
    """

    runs: Runs
    refused: list[list[str]]


#: What each row of the layers is, and its bounds.
LAYERS = tuple(VARIABLE_MAP.values())
_LOW = np.array([layer.low for layer in LAYERS])
_HIGH = np.array([layer.high for layer in LAYERS])
_TEMPERATURES = np.array([layer.kind == "temp_f" for layer in LAYERS])
_TOTALS = np.array([layer.told == "total" for layer in LAYERS])
_WINDOWS = np.array([layer.told == "night window" for layer in LAYERS])


def read_layers(found: Sequence[FoundLayer]) -> LayerRuns:
    """Read the layers of an answer; what cannot be trusted is refused, with the reason."""
    packed: list[int] = []
    values: list[float | None] = []
    counts: list[int] = []
    units: list[Conversion] = []
    refused: list[list[str]] = []
    for one, layer in zip(found, LAYERS, strict=True):
        told, unit, reasons = _told(one, layer)
        kept, hours = _timed(told, layer, reasons)
        packed += hours
        values += [entry.value for entry in kept]
        counts.append(len(kept))
        units.append(unit)
        refused.append(reasons)
    row = np.repeat(np.arange(len(LAYERS)), counts)
    first, end = unpacked(np.fromiter(packed, np.int64, len(packed)))
    factor, offset = np.array(units).T
    house = np.array(values, dtype=float) * factor[row] + offset[row]
    house = np.where(_TEMPERATURES[row], _whole_degrees(house), house)
    runs = _believed_lengths(Runs(row, first, end, house), refused)
    runs = runs.split(_TOTALS).at_least(SHORTEST_WINDOW_H, _WINDOWS)
    return LayerRuns(_within_bounds(runs, refused), refused)


def lay_out(read: LayerRuns, start: int, hours: int) -> tuple[dict[str, Hours], list[str]]:
    """The layers hour by hour from hour ``start``, and all that was refused of them."""
    chance = list(VARIABLE_MAP).index("probabilityOfPrecipitation")
    runs = read.runs.with_first_hours(chance, len(LAYERS))
    grid, torn = by_hour(runs, len(LAYERS) + 1, start, hours)
    refused: list[str] = []
    for row, layer in enumerate(LAYERS):
        refused += read.refused[row]
        if torn[row]:
            refused.append(layer.told_twice(int(torn[row])))
    names = [layer.name for layer in LAYERS] + ["rain_chance_from_h"]
    return dict(zip(names, grid, strict=True)), refused


def _told(found: FoundLayer, layer: Layer) -> tuple[list[Entry], Conversion, list[str]]:
    """The entries of one layer, the conversion of its unit, and why there are none."""
    try:
        told = _decoder.decode(found) if isinstance(found, msgspec.Raw) and found else found
    except (msgspec.MsgspecError, RecursionError, UnicodeDecodeError) as error:
        return [], AS_IT_IS, [f"{layer.words}: not in the form expected ({error})"]
    if not isinstance(told, ToldLayer):
        return [], AS_IT_IS, [f"{layer.words}: missing from the answer"]
    if not told.values:
        return [], AS_IT_IS, []
    try:
        return told.values, to_house(layer.kind, told.uom), []
    except ValueError as error:
        return [], AS_IT_IS, [f"{layer.words}: {error}"]


def _timed(entries: list[Entry], layer: Layer, reasons: list[str]) -> tuple[list[Entry], list[int]]:
    """Entries and their packed hours; an interval that cannot be read costs its value."""
    try:
        return entries, [PACKED_HOURS[one.valid_time] for one in entries]
    except ValueError:
        pass
    kept, spans, refused = [], [], []
    for one in entries:
        try:
            spans.append(PACKED_HOURS[one.valid_time])
            kept.append(one)
        except ValueError as error:
            refused.append(f"an interval was refused: {error}")
    if len(refused) > 2:
        refused[1:] = [f"{len(refused) - 1} more intervals were refused"]
    reasons += [f"{layer.words}: {text}" for text in refused]
    return kept, spans


def _believed_lengths(runs: Runs, refused: list[list[str]]) -> Runs:
    short = runs.end - runs.first <= LONGEST_H
    if short.all():
        return runs
    for row in np.unique(runs.row[~short]).tolist():
        words = LAYERS[row].words
        refused[row].append(f"{words}: an interval was refused: wanted at most {LONGEST_H} h")
    return runs.only(short)


def _whole_degrees(temp_f: Real) -> Real:
    whole = np.rint(temp_f)
    return np.where(np.abs(temp_f - whole) <= WHOLE_DEGREE_F, whole, temp_f)


def _within_bounds(runs: Runs, refused: list[list[str]]) -> Runs:
    """Without the layers that cannot be true; one value beyond its bounds costs its layer."""
    beyond = (runs.value < _LOW[runs.row]) | (runs.value > _HIGH[runs.row])
    if not beyond.any():
        return runs
    wrong = np.zeros(len(LAYERS), dtype=bool)
    for row in np.unique(runs.row[beyond]).tolist():
        bad = float(runs.value[beyond & (runs.row == row)][0])
        refused[row][:] = [LAYERS[row].beyond(bad)]
        wrong[row] = True
    return runs.only(~runs.of_rows(wrong))
