"""Places that need a forecast, and the cell outlines that answers are for."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shapely import make_valid
from shapely.geometry import Point, Polygon

#: Kilometres in a degree of latitude [km]; mean earth radius 6371 km.
KM_PER_DEGREE = 111.195

#: Farthest a place may lie outside the outline of its cell [km]. Cells are 2.5 km wide and the
#: outlines are straight lines drawn on a curved grid.
OUTLINE_TOLERANCE_KM = 0.5

#: Farthest the middle of its cell may lie from a place [km], by provider, and for the others.
#: The US service's cells are 2.5 km wide; world models answer for points up to 25 km apart.
CENTRE_MAX_KM = {"nws": 5.0}
CENTRE_MAX_OTHERS_KM = 20.0

Outline = Sequence[tuple[float, float]]


@dataclass(frozen=True)
class Place:
    """Where a field is, for the forecast [deg]."""

    field_id: str
    latitude: float
    longitude: float


def cell_holds(cell_id: str, outline: Outline, latitude: float, longitude: float) -> bool:
    """True if an answer with this outline, from the cell's provider, is for the place."""
    most_km = CENTRE_MAX_KM.get(cell_id.partition(":")[0], CENTRE_MAX_OTHERS_KM)
    if not outline_holds(outline, latitude, longitude):
        return False
    return centre_distance_km(outline, latitude, longitude) <= most_km


def centre_distance_km(outline: Outline, latitude: float, longitude: float) -> float:
    """Distance from a place to the middle of a cell outline [km], infinite without one."""
    if len(outline) < 4:
        return math.inf
    centre = Polygon(_flat_km(outline, latitude, longitude)).convex_hull.centroid
    return float(centre.distance(Point(0.0, 0.0)))


def outline_distance_km(outline: Outline, latitude: float, longitude: float) -> float:
    """Distance from a place to a cell outline [km], 0 inside, infinite without an outline.

    The ring, (longitude, latitude) pairs, is laid flat around the place, which at the size of a
    cell errs by metres.
    """
    if len(outline) < 4:
        return math.inf
    shape = Polygon(_flat_km(outline, latitude, longitude))
    return float((shape if shape.is_valid else make_valid(shape)).distance(Point(0.0, 0.0)))


def outline_holds(outline: Outline, latitude: float, longitude: float) -> bool:
    """True if the place lies in the outline, or within `OUTLINE_TOLERANCE_KM` of it."""
    return outline_distance_km(outline, latitude, longitude) <= OUTLINE_TOLERANCE_KM


def _flat_km(outline: Outline, latitude: float, longitude: float) -> list[tuple[float, float]]:
    """A ring laid flat, east and north of a place [km]."""
    across_km = KM_PER_DEGREE * math.cos(math.radians(latitude))
    first_east_deg = _turn_deg(outline[0][0] - longitude)
    return [
        (
            (first_east_deg + _turn_deg(lon - outline[0][0])) * across_km,
            (lat - latitude) * KM_PER_DEGREE,
        )
        for lon, lat in outline
    ]


def _turn_deg(degrees: float) -> float:
    """An angle between -180 and 180, so that the date line is no edge [deg]."""
    return (degrees + 180) % 360 - 180
