"""Miles between fields and yards: as the crow flies times a factor, or the user's own table."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from farm.rig import Rig

Floats = npt.NDArray[np.float64]
Place = tuple[float, float]

METERS_A_MILE = 1609.344

#: Minutes of a way that cannot be driven, longer than any plan.
NEVER_MIN = 1_000_000


@dataclass(frozen=True, eq=False)
class Travel:
    """Miles between places: the fields in their order, then the yard of each rig.

    ``road_miles`` is infinite where there is no way. ``yard_of`` is the place of a rig's yard,
    ``places`` are (latitude, longitude), ``own_miles`` the user's own, as they were given.
    """

    road_miles: Floats
    air_miles: Floats
    yard_of: Mapping[str, int]
    places: tuple[Place, ...]
    own_miles: Mapping[tuple[int, int], float]

    def miles(self, rig: Rig, start: int, end: int) -> float:
        """Miles a rig travels between two places; infinite where it cannot."""
        table = self.air_miles if rig.kind == "air" else self.road_miles
        return float(table[start, end])

    def minutes(self, rig: Rig, start: int, end: int) -> int:
        """Minutes between two places, rounded up; `NEVER_MIN` where there is no way."""
        miles = self.miles(rig, start, end)
        if math.isinf(miles):
            return NEVER_MIN
        return math.ceil(60 * miles / rig.travel_mph - 1e-9)


def travel_between(
    fields: Sequence[Place],
    yards: Mapping[str, Place],
    road_factor: float,
    own_miles: Mapping[tuple[int, int], float] | None = None,
) -> Travel:
    """Miles between all fields and the yards.

    Parameters
    ----------
    fields
        Latitude and longitude of each field [deg].
    yards
        The same of the yard of each rig, by its id.
    road_factor
        Road miles for a mile as the crow flies.
    own_miles
        Road miles by places, from and to, which stand for the reckoned ones; infinite where
        there is no way.
    """
    places = (*fields, *yards.values())
    straight = geodesic_miles(places)
    road = straight * road_factor
    for (start, end), miles in (own_miles or {}).items():
        road[start, end] = miles
    yard_of = {rig_id: len(fields) + place for place, rig_id in enumerate(yards)}
    return Travel(road, straight, yard_of, places, dict(own_miles or {}))


def geodesic_miles(places: Sequence[Place]) -> Floats:
    """Miles as the crow flies between places, shape (places, places)."""
    from pyproj import Geod

    count = len(places)
    given = np.asarray(places, float).reshape(count, 2)
    start, end = np.meshgrid(np.arange(count), np.arange(count), indexing="ij")
    _, _, meters = Geod(ellps="WGS84").inv(
        given[start.ravel(), 1],
        given[start.ravel(), 0],
        given[end.ravel(), 1],
        given[end.ravel(), 0],
    )
    return np.asarray(meters, float).reshape(count, count) / METERS_A_MILE
