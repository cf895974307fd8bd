"""The square around a point that stands for a cell, where a provider tells only a point."""

import math
from datetime import datetime
from typing import NamedTuple

from farm.grid_cell import GridCell
from forecasts.cells import KM_PER_DEGREE
from forecasts.errors import ForecastError

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


def short(degrees: float, places: int = 3) -> str:
    """Degrees with at most so many decimals, and none for nothing."""
    text = f"{degrees:.{places}f}".rstrip("0").rstrip(".")
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


def lattice_cell(provider: str, latitude: float, longitude: float, now: datetime) -> GridCell:
    """The cell of a provider of points that a place lies in: the nearest point of the lattice."""
    return GridCell(id=f"{provider}:{on_lattice(latitude, longitude).written}", resolved_utc=now)


def spot_of_cell(cell: GridCell, provider: str, called: str) -> Spot:
    """The point that the name of a provider's cell tells.

    Raises
    ------
    ForecastError
        It is no cell of the provider, which people know as ``called``; it counts as gone.
    """
    owner, _, name = cell.id.partition(":")
    spot = spot_of(name) if owner == provider else None
    if spot is None:
        raise ForecastError(f"the cell {cell.id[:60]!r} is not one of {called}", False, gone=True)
    return spot


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
