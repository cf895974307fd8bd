"""Outlines on the ground: forecast cells and fields around an invented point."""

import math
from functools import cache
from typing import Literal

from pyproj import Transformer
from shapely import Polygon
from shapely.affinity import rotate, scale, translate
from shapely.geometry import box

Shape = Literal["square", "eighty", "pivot", "quarter_circle", "cut_corner"]
Ring = tuple[tuple[float, float], ...]

#: Middle of the invented country (latitude, longitude) [deg].
MIDDLE = (34.58, -100.92)
#: Side of a forecast cell [m]; the US Weather Service's grid has about 2.5 km.
CELL_M = 2540.0
#: Turn of the cells against true north [deg], as that grid has it this far west.
CELL_TURN_DEG = 2.5
#: Square metres in an acre [m2]. International acre.
ACRE_M2 = 4046.8564224
#: Distance of a field's middle from its cell's middle, east and north [m].
SLOT_M = 430.0

_SLOTS = ((-1, 1), (1, 1), (-1, -1), (1, -1))


def cell_outline(column: int, row: int) -> Ring:
    """Closed ring of a cell, from its northwest corner against the clock."""
    east, north = _cell_middle(column, row)
    half = CELL_M / 2
    corners = Polygon([(-half, half), (-half, -half), (half, -half), (half, half)])
    turned = rotate(corners, CELL_TURN_DEG, origin=(0, 0))
    return _on_earth(translate(turned, east, north), decimals=7)


def field_outline(column: int, row: int, slot: int, shape: Shape, acres: float) -> Ring:
    """Closed ring of a field of ``acres`` [ac] in one of the four slots of a cell."""
    east, north = _cell_middle(column, row)
    right, up = _SLOTS[slot]
    outline = _unit_shape(shape)
    factor = math.sqrt(acres * ACRE_M2 / outline.area)
    sized = scale(outline, factor, factor, origin=(0, 0))
    return _on_earth(translate(sized, east + right * SLOT_M, north + up * SLOT_M), decimals=6)


def inside_point(ring: Ring) -> tuple[float, float]:
    """A point inside ``ring`` as (latitude, longitude), rounded as a request carries it [deg]."""
    point = Polygon(ring).representative_point()
    return round(point.y, 4), round(point.x, 4)


def _cell_middle(column: int, row: int) -> tuple[float, float]:
    turn = math.radians(CELL_TURN_DEG)
    east, north = column * CELL_M, row * CELL_M
    return (
        east * math.cos(turn) - north * math.sin(turn),
        east * math.sin(turn) + north * math.cos(turn),
    )


def _unit_shape(shape: Shape) -> Polygon:
    if shape == "pivot":
        return _arc((0.0, 0.0), 1.0, 0.0, 360.0)
    if shape == "quarter_circle":
        wedge = _arc((-0.5, -0.5), 1.0, 0.0, 90.0)
        return Polygon([(-0.5, -0.5), *wedge.exterior.coords[:-1]])
    if shape == "eighty":
        return box(-1.0, -0.5, 1.0, 0.5)
    if shape == "cut_corner":
        return Polygon(
            [(-0.5, -0.5), (0.5, -0.5), (0.5, 0.1), (0.35, 0.3), (0.1, 0.5), (-0.5, 0.5)]
        )
    return box(-0.5, -0.5, 0.5, 0.5)


def _arc(middle: tuple[float, float], radius: float, start: float, end: float) -> Polygon:
    steps = 48 if end - start >= 360 else 16
    count = steps if end - start >= 360 else steps + 1
    angles = [math.radians(start + (end - start) * step / steps) for step in range(count)]
    return Polygon(
        [(middle[0] + radius * math.cos(a), middle[1] + radius * math.sin(a)) for a in angles]
    )


@cache
def _to_earth() -> Transformer:
    # Equal area, so that acres drawn here are acres on the ground.
    plane = f"+proj=laea +lat_0={MIDDLE[0]} +lon_0={MIDDLE[1]} +ellps=WGS84 +units=m"
    return Transformer.from_crs(plane, "EPSG:4326", always_xy=True)


def _on_earth(outline: Polygon, decimals: int) -> Ring:
    east, north = outline.exterior.coords.xy
    longitude, latitude = _to_earth().transform(list(east), list(north))
    return tuple(
        (round(lon, decimals), round(lat, decimals))
        for lon, lat in zip(longitude, latitude, strict=True)
    )
