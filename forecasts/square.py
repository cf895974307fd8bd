"""The square around a point that stands for a cell, where a provider tells only a point."""

import math
from typing import NamedTuple

from forecasts.cells import KM_PER_DEGREE

#: Distance between the points that places are asked for at [deg]: about 2.5 km, the size of a
#: cell of the US Weather Service, so that neighbouring fields share one question.
LATTICE_DEG = 0.025


class Spot(NamedTuple):
    """A point [deg]."""

    latitude: float
    longitude: float

    @property
    def written(self) -> str:
        """The point as it stands in names and addresses: "34.75,-101.775"."""
        return f"{short(self.latitude)},{short(self.longitude)}"


def short(degrees: float) -> str:
    """Degrees with at most three decimals, and none for nothing."""
    text = f"{degrees:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def on_lattice(latitude: float, longitude: float) -> Spot:
    """The point of the lattice nearest to a place."""
    return Spot(
        round(latitude / LATTICE_DEG) * LATTICE_DEG, round(longitude / LATTICE_DEG) * LATTICE_DEG
    )


def spot_of(written: str) -> Spot | None:
    """The point a name such as "34.75,-101.775" tells, None where it tells none."""
    try:
        latitude, longitude = (float(one) for one in written.split(","))
    except ValueError:
        return None
    fits = abs(latitude) <= 90 and abs(longitude) <= 180
    return Spot(latitude, longitude) if fits else None


def apart_km(one: Spot, other: Spot) -> float:
    """Distance between two points that lie near each other [km]."""
    north = one.latitude - other.latitude
    east = (one.longitude - other.longitude + 180) % 360 - 180
    return KM_PER_DEGREE * math.hypot(north, east * math.cos(math.radians(one.latitude)))


def square(latitude: float, longitude: float, half_deg: float) -> tuple[tuple[float, float], ...]:
    """The ring of a square, (longitude, latitude) [deg]."""
    west, east = longitude - half_deg, longitude + half_deg
    south, north = latitude - half_deg, latitude + half_deg
    return ((west, south), (east, south), (east, north), (west, north), (west, south))
