"""The layers of the US National Weather Service that we use: their names and units into ours."""

from collections.abc import Sequence
from typing import Literal, NamedTuple

import msgspec
import numpy as np

from agronomy.hourly_forecast import Hours
from forecasts.interval import PACKED_HOURS, packed_hours, unpacked
from forecasts.runs import Mask, Real, Runs, Whole, by_hour
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


class _Told(NamedTuple):
    """The entries of one layer, the conversion of their unit, and what of it was refused."""

    entries: list[Entry]
    unit: Conversion
    refused: list[str]


class LayerRuns(NamedTuple):
    """All layers in house units, a row each in the order of `VARIABLE_MAP`.

    The last row beyond them holds the first hour of each interval a chance of rain is told for.
    ``refused`` holds for each row what of it was refused, in plain words.
    """

    runs: Runs
    refused: list[list[str]]


#: The layers in the order of their rows.
LAYERS = tuple(VARIABLE_MAP.values())
_CHANCE = list(VARIABLE_MAP).index("probabilityOfPrecipitation")

#: What each row is read from, and its bounds: the chance stands twice, for its first hours.
_ROWS = (*LAYERS, LAYERS[_CHANCE])
_ROW = np.arange(len(_ROWS))
_LOW = np.array([layer.low for layer in _ROWS])
_HIGH = np.array([layer.high for layer in _ROWS])
_NAMES = (*(layer.name for layer in LAYERS), "rain_chance_from_h")
_TOTAL = np.array([layer.told == "total" for layer in _ROWS])
_SHORTEST_H = np.array([SHORTEST_WINDOW_H if one.told == "night window" else 1 for one in _ROWS])
#: Near to no number but those of temperatures.
_WHOLE_WITHIN = np.array([WHOLE_DEGREE_F if one.kind == "temp_f" else np.nan for one in _ROWS])


def read_layers(found: Sequence[FoundLayer]) -> LayerRuns:
    """Read the layers of an answer; what cannot be trusted is refused, with the reason."""
    told = [_told(one, layer) for one, layer in zip(found, LAYERS, strict=True)]
    told.append(told[_CHANCE]._replace(refused=[]))
    try:
        packed = [PACKED_HOURS[one.valid_time] for layer in told for one in layer.entries]
    except KeyError:
        told = [_with_intervals_read(one, layer) for one, layer in zip(told, _ROWS, strict=True)]
        packed = [packed_hours(one.valid_time) for layer in told for one in layer.entries]
    first, end = unpacked(packed)
    row = np.repeat(_ROW, [len(layer.entries) for layer in told])
    refused = [layer.refused for layer in told]
    hours = end - first
    kept = (hours >= _SHORTEST_H[row]) & _believed(hours, row, refused)
    value = _in_house_units(told, row) / np.where(_TOTAL[row], hours, 1)
    runs = _within_bounds(Runs(row, first, end, value).only(kept), refused)
    _put_first_hours(runs)
    return LayerRuns(runs, refused)


def lay_out(read: LayerRuns, start: int, hours: int) -> tuple[dict[str, Hours], list[str]]:
    """The layers hour by hour from hour ``start``, and all that was refused of them."""
    grid, torn = by_hour(read.runs, len(_ROWS), start, hours)
    refused: list[str] = []
    for layer, reasons, times in zip(LAYERS, read.refused, torn.tolist(), strict=False):
        refused += reasons
        if times:
            refused.append(layer.told_twice(times))
    return dict(zip(_NAMES, grid, strict=True)), refused


def _told(found: FoundLayer, layer: Layer) -> _Told:
    """The entries of one layer and the conversion of their unit, or why there are none."""
    try:
        told = _decoder.decode(found) if isinstance(found, msgspec.Raw) and found else found
    except (msgspec.MsgspecError, RecursionError, UnicodeDecodeError) as error:
        return _Told([], AS_IT_IS, [f"{layer.words}: not in the form expected ({error})"])
    if not isinstance(told, ToldLayer):
        return _Told([], AS_IT_IS, [f"{layer.words}: missing from the answer"])
    if not told.values:
        return _Told([], AS_IT_IS, [])
    try:
        return _Told(told.values, to_house(layer.kind, told.uom), [])
    except ValueError as error:
        return _Told([], AS_IT_IS, [f"{layer.words}: {error}"])


def _with_intervals_read(told: _Told, layer: Layer) -> _Told:
    """A layer without the values whose interval cannot be read."""
    kept, refused = [], []
    for one in told.entries:
        try:
            packed_hours(one.valid_time)
            kept.append(one)
        except ValueError as error:
            refused.append(f"an interval was refused: {error}")
    if len(refused) > 2:
        refused[1:] = [f"{len(refused) - 1} more intervals were refused"]
    told.refused.extend(f"{layer.words}: {text}" for text in refused)
    return told._replace(entries=kept)


def _in_house_units(told: list[_Told], row: Whole) -> Real:
    values = [one.value for layer in told for one in layer.entries]
    factor = np.array([layer.unit.factor for layer in told])
    offset = np.array([layer.unit.offset for layer in told])
    house = np.fromiter(values, float, len(values)) * factor[row] + offset[row]
    whole = np.rint(house)
    return np.where(np.abs(house - whole) <= _WHOLE_WITHIN[row], whole, house)


def _believed(hours: Whole, row: Whole, refused: list[list[str]]) -> Mask:
    """Which intervals are short enough to be believed; the others are named."""
    believed = hours <= LONGEST_H
    if not believed.all():
        for one in np.unique(row[~believed]).tolist():
            words = _ROWS[one].words
            refused[one].append(f"{words}: an interval was refused: wanted at most {LONGEST_H} h")
    return believed


def _put_first_hours(runs: Runs) -> None:
    """Put the first hours, where the chance is known, in the place of the last row's values."""
    last = slice(int(runs.row.searchsorted(len(LAYERS))), None)
    value = runs.value[last]
    value[:] = np.where(np.isnan(value), np.nan, runs.first[last])


def _within_bounds(runs: Runs, refused: list[list[str]]) -> Runs:
    """Without the layers that cannot be true; one value beyond its bounds costs its layer."""
    beyond = (runs.value < _LOW[runs.row]) | (runs.value > _HIGH[runs.row])
    if not beyond.any():
        return runs
    wrong = np.zeros(len(_ROWS), dtype=bool)
    for row in np.unique(runs.row[beyond]).tolist():
        bad = float(runs.value[beyond & (runs.row == row)][0])
        refused[row][:] = [_ROWS[row].beyond(bad)]
        wrong[row] = True
    return runs.only(~runs.of_rows(wrong))
