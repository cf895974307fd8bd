"""Coordinates that look like a slip: swapped, or with the minus sign of the west lost."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

#: How far from the middle of the farm's fields a field may lie and still be near [degrees].
NEAR_DEG = 2.0


@dataclass(frozen=True)
class Box:
    """A box of latitudes and longitudes [degrees]."""

    south: float
    north: float
    west: float
    east: float

    def holds(self, latitude: float, longitude: float) -> bool:
        """Whether a point lies in the box."""
        return self.south <= latitude <= self.north and self.west <= longitude <= self.east


#: Roughly the contiguous United States and the north of Mexico: where the public weather
#: service answers, and where short-season cotton of this continent grows [degrees].
NORTH_AMERICA = Box(south=24.0, north=50.0, west=-125.0, east=-66.0)


def middle_of(points: Sequence[tuple[float, float]]) -> Box | None:
    """A box around the middle of (latitude, longitude) pairs, or None for fewer than three."""
    if len(points) < 3:
        return None
    latitude = median(point[0] for point in points)
    longitude = median(point[1] for point in points)
    south, north = latitude - NEAR_DEG, latitude + NEAR_DEG
    return Box(south, north, longitude - NEAR_DEG, longitude + NEAR_DEG)


def slip(latitude: float, longitude: float, others: Box | None) -> tuple[str, str] | None:
    """The key and the words of a likely slip in a field's coordinates, or None.

    Parameters
    ----------
    latitude, longitude
        As given [degrees].
    others
        Where the farm's fields lie, from `middle_of`.
    """
    if latitude == 0 and longitude == 0:
        return "latitude", "got 0, 0, wanted the place of the field; fill in the coordinates"
    if NORTH_AMERICA.holds(latitude, longitude):
        return None
    if found := _slip_into(NORTH_AMERICA, latitude, longitude):
        return found
    is_near = others is not None and others.holds(latitude, longitude)
    if others and not is_near and (found := _slip_into(others, latitude, longitude)):
        return found
    if abs(latitude) > 90 and abs(longitude) <= 90 and abs(latitude) <= 180:
        return _swap(latitude, longitude, "")
    return None


def _slip_into(box: Box, latitude: float, longitude: float) -> tuple[str, str] | None:
    if box.holds(longitude, latitude):
        return _swap(latitude, longitude, "")
    if longitude > 0 and box.holds(latitude, -longitude):
        return (
            "longitude",
            f"got {longitude:g}, wanted {-longitude:g}? west of Greenwich is below zero; "
            "put the minus sign back",
        )
    if latitude > 0 and box.holds(longitude, -latitude):
        return _swap(latitude, longitude, " and put the minus sign back")
    return None


def _swap(latitude: float, longitude: float, more: str) -> tuple[str, str]:
    return (
        "latitude",
        f"got {latitude:g} with longitude {longitude:g}, wanted them the other way round? "
        f"swap them{more}",
    )
