"""Figures as readers want them: the house counts in US units, and turns them at the very last."""

from typing import Literal

from dispatch.words import amount, temp

Units = Literal["us", "metric"]
Kind = Literal["temp", "speed", "rain", "area", "distance"]

#: Kilometres in a mile, millimetres in an inch, square metres in an acre: exact since the
#: international yard of 1959; an acre is 43,560 square feet.
KM_IN_MILE, MM_IN_INCH, HA_IN_ACRE = 1.609344, 25.4, 0.40468564224

#: What each kind is counted in.
_UNITS: dict[Units, dict[Kind, str]] = {
    "us": {"temp": "F", "speed": "mph", "rain": "in", "area": "ac", "distance": "mi"},
    "metric": {"temp": "C", "speed": "km/h", "rain": "mm", "area": "ha", "distance": "km"},
}
_TIMES: dict[Kind, float] = {
    "speed": KM_IN_MILE,
    "rain": MM_IN_INCH,
    "area": HA_IN_ACRE,
    "distance": KM_IN_MILE,
}


def unit(kind: Kind, units: Units) -> str:
    """The sign of a unit, such as ``km/h``."""
    return _UNITS[units][kind]


def turned(value: float, kind: Kind, units: Units) -> float:
    """A figure of the house in the reader's units.

    Parameters
    ----------
    value
        In F, mph, inch, acres or miles, by ``kind``.
    """
    if units == "us":
        return value
    return (value - 32) / 1.8 if kind == "temp" else value * _TIMES[kind]


def shown(value: float | None, kind: Kind, units: Units) -> str:
    """A figure with its unit, ``?`` where it is not known: ``31F``, ``-0.6C``, ``12 km/h``."""
    if value is None:
        return "?"
    if kind == "temp":
        # A tenth decides things beside freezing, and only there in F.
        return temp(value) if units == "us" else f"{amount(_no_minus_zero(value, units))}C"
    figure = turned(value, kind, units)
    # A hundredth of an inch is what gauges tell.
    told = f"{figure:.2f}" if (kind, units) == ("rain", "us") else amount(figure)
    return f"{told} {unit(kind, units)}"


def _no_minus_zero(value_f: float, units: Units) -> float:
    celsius = turned(value_f, "temp", units)
    return 0.0 if abs(celsius) < 0.05 else celsius
