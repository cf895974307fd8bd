"""Outlines of fields: are they sound, how large are they, and which point stands for them."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from pyproj import Geod
from shapely import MultiPolygon, Polygon, unary_union
from shapely.geometry.polygon import orient
from shapely.validation import explain_validity

from farm.field import Ring

#: Square metres in an international acre (exact: 4840 square yards of 0.9144 m).
SQUARE_METRES_PER_ACRE = 4046.8564224
#: Least area of an outline [acres]; less is a slip of the pen, not a field.
ACRES_MIN = 0.01
#: Metres in an international mile (exact: 5280 feet of 0.3048 m).
METRES_PER_MILE = 1609.344


@dataclass(frozen=True)
class Place:
    """A point inside a field, its outer ring, and its measured area; a bare point has neither."""

    latitude: float
    longitude: float
    outline: Ring | None = None
    measured_acres: float | None = None


def place_of(geometry: object) -> Place:
    """The place of a GeoJSON Point, Polygon or MultiPolygon.

    Of several polygons the area is that of all together and the outline that of the largest.

    Raises
    ------
    ValueError
        No such geometry, or one that is not sound; the text says what was got and wanted.
    """
    if not isinstance(geometry, dict):
        raise ValueError("got no geometry, wanted a Polygon or a Point; draw the field")
    kind, coordinates = geometry.get("type"), geometry.get("coordinates")
    if kind == "Point":
        longitude, latitude = _position(coordinates)
        return Place(latitude, longitude)
    if kind == "Polygon":
        return _place_of_polygons([_polygon(coordinates)])
    if kind == "MultiPolygon" and isinstance(coordinates, list) and coordinates:
        return _place_of_polygons([_polygon(rings) for rings in coordinates])
    got = f'a geometry of type "{str(kind)[:30]}"' if kind != "MultiPolygon" else "no polygons"
    raise ValueError(f"got {got}, wanted Polygon, MultiPolygon or Point; draw the field as one")


def acres_of(polygon: Polygon | MultiPolygon) -> float:
    """Area of a polygon of longitudes and latitudes on the WGS 84 ellipsoid [acres]."""
    return sum(abs(_square_metres(part)) for part in _parts(polygon)) / SQUARE_METRES_PER_ACRE


def miles_apart(here: tuple[float, float], there: tuple[float, float]) -> float:
    """Miles as the crow flies between two (latitude, longitude) pairs on the WGS 84 ellipsoid."""
    _, _, metres = _earth().inv(here[1], here[0], there[1], there[0])
    return float(metres) / METRES_PER_MILE


def _square_metres(polygon: Polygon) -> float:
    return float(_earth().geometry_area_perimeter(orient(polygon, 1.0))[0])


@cache
def _earth() -> Geod:
    return Geod(ellps="WGS84")


def _parts(shape: Polygon | MultiPolygon) -> list[Polygon]:
    parts = [shape] if isinstance(shape, Polygon) else list(getattr(shape, "geoms", ()))
    return [part for part in parts if isinstance(part, Polygon)]


def _place_of_polygons(polygons: list[Polygon]) -> Place:
    largest = max(polygons, key=lambda polygon: polygon.area)
    inside = largest.representative_point()
    outline = tuple((float(lon), float(lat)) for lon, lat in largest.exterior.coords)
    if max(abs(latitude) for _, latitude in outline) > 90:
        return Place(float(inside.y), float(inside.x), outline)
    acres = acres_of(unary_union(polygons) if len(polygons) > 1 else polygons[0])
    if acres < ACRES_MIN:
        raise ValueError(f"got an outline of {acres:.4f} acres, wanted a field; draw it again")
    return Place(float(inside.y), float(inside.x), outline, acres)


def _polygon(rings: object) -> Polygon:
    if not isinstance(rings, list) or not rings:
        raise ValueError("got a polygon without an outline, wanted a ring; draw the field")
    outer, *holes = [_ring(ring) for ring in rings]
    polygon = Polygon(outer, holes)
    if not polygon.is_valid:
        raise ValueError(_crossing(explain_validity(polygon)))
    return polygon


def _crossing(reason: str) -> str:
    place = re.search(r"\[(\S+) (\S+)\]", reason)
    where = f" at longitude {float(place[1]):.6f}, latitude {float(place[2]):.6f}" if place else ""
    if reason.startswith(("Self-intersection", "Ring Self-intersection")):
        return f"got an outline that crosses itself{where}, wanted a simple one; move that corner"
    words = reason.split("[")[0].lower()
    return f"got an outline that is not sound ({words}){where}, wanted a simple one; draw it again"


def _ring(ring: object) -> list[tuple[float, float]]:
    points = [_position(one) for one in _listed(ring)]
    if points and points[0] != points[-1]:
        points.append(points[0])
    if len(points) < 4 or len(set(points)) < 3:
        raise ValueError(
            f"got a ring of {len(set(points))} different points, wanted at least 3 and the first "
            "again at the end; draw the outline again"
        )
    return points


def _listed(ring: object) -> Iterator[object]:
    if not isinstance(ring, list):
        raise ValueError("got a ring that is no list of points; draw the outline again")
    return iter(ring)


def _position(one: object) -> tuple[float, float]:
    """Longitude and latitude of a GeoJSON position; a height is left out."""
    numbers = one[:2] if isinstance(one, list) else []
    if len(numbers) < 2 or not all(_is_degrees(number) for number in numbers):
        raise ValueError(
            f"got the position {str(one)[:40]}, wanted [longitude, latitude] in degrees; "
            "export it as WGS 84 (EPSG:4326)"
        )
    return float(numbers[0]), float(numbers[1])


def _is_degrees(number: object) -> bool:
    return (
        isinstance(number, (int, float)) and not isinstance(number, bool) and -180 <= number <= 180
    )
