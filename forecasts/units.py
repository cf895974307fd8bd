"""The one table of foreign units: what turns a provider's number into the house unit."""

from typing import Literal, NamedTuple

Kind = Literal["temp_f", "speed_mph", "share_pct", "rain_in", "angle_deg", "length_ft"]


class Conversion(NamedTuple):
    """House value = foreign value x ``factor`` + ``offset``."""

    factor: float
    offset: float = 0.0


#: Of a value that is there already, or that nobody will read.
AS_IT_IS = Conversion(1.0)

#: Metres to feet [ft/m], for heights that are told in metres and without a unit. Definition.
FT_PER_M = 1 / 0.3048

#: By house unit, then by the provider's unit. Definitions: inch 25.4 mm, foot 0.3048 m, mile
#: 1609.344 m, knot 1852 m in an hour, exact.
UNITS: dict[Kind, dict[str, Conversion]] = {
    "temp_f": {
        "degC": Conversion(1.8, 32.0),
        "degF": Conversion(1.0),
    },
    "speed_mph": {
        "km_h-1": Conversion(1 / 1.609344),
        "m_s-1": Conversion(3.6 / 1.609344),
        "kt": Conversion(1.852 / 1.609344),
        "mph": Conversion(1.0),
    },
    "share_pct": {"percent": Conversion(1.0)},
    "rain_in": {
        "mm": Conversion(1 / 25.4),
        "m": Conversion(1000 / 25.4),
        "in": Conversion(1.0),
    },
    "angle_deg": {"degree_(angle)": Conversion(1.0)},
    "length_ft": {"m": Conversion(FT_PER_M), "ft": Conversion(1.0)},
}


def to_house(kind: Kind, unit: str | None) -> Conversion:
    """The conversion from a provider's unit.

    Parameters
    ----------
    kind
        House unit wanted.
    unit
        The provider's name, with or without the vocabulary before its colon.

    Raises
    ------
    ValueError
        The unit is missing, or not one of the table: nothing is guessed.
    """
    if not unit:
        raise ValueError("the unit is missing")
    conversion = UNITS[kind].get(unit.rsplit(":", 1)[-1])
    if conversion is None:
        raise ValueError(f"the unit {unit[:40]!r} is not known")
    return conversion
