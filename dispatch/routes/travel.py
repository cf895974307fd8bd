"""Miles between fields and yards: as the crow flies times a factor, or by a table of roads."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from farm.rig import Rig

Floats = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]
Place = tuple[float, float]

#: What is told of roads, from one named place to another.
NamedWays = Mapping[tuple[str, str], float]

METERS_A_MILE = 1609.344

#: Minutes of a way that cannot be driven, longer than any plan.
NEVER_MIN = 1_000_000


@dataclass(frozen=True, eq=False)
class Travel:
    """Miles between places: the fields in their order, then the yard of each rig.

    ``road_miles`` is infinite where there is no way. ``yard_of`` is the place of a rig's yard,
    ``places`` are (latitude, longitude), ``told_miles`` those of a table of roads or of the
    user, as they were given, and ``told_min`` the least minutes a table says they take.
    """

    road_miles: Floats
    air_miles: Floats
    yard_of: Mapping[str, int]
    places: tuple[Place, ...]
    told_miles: Mapping[tuple[int, int], float]
    told_min: Mapping[tuple[int, int], float]

    def miles(self, rig: Rig, start: int, end: int) -> float:
        """Miles a rig travels between two places; infinite where it cannot."""
        table = self.air_miles if rig.kind == "air" else self.road_miles
        return float(table[start, end])

    def minutes(self, rig: Rig, start: int, end: int) -> int:
        """Minutes between two places, rounded up; `NEVER_MIN` where there is no way.

        A table of roads was made for cars: where it tells more minutes than the rig takes by
        its own speed they count, but it never makes a rig quicker.
        """
        miles = self.miles(rig, start, end)
        if math.isinf(miles):
            return NEVER_MIN
        least_min = 0.0 if rig.kind == "air" else self.least_min[start, end]
        return math.ceil(max(60 * miles / rig.travel_mph, least_min) - 1e-9)

    def all_minutes(self, rig: Rig) -> Whole:
        """The same between all places, shape (places, places)."""
        miles = self.air_miles if rig.kind == "air" else self.road_miles
        no_way = np.isinf(miles)
        least_min = 0.0 if rig.kind == "air" else self.least_min
        taken = np.maximum(60 * np.where(no_way, 0, miles) / rig.travel_mph, least_min)
        return np.where(no_way, NEVER_MIN, np.ceil(taken - 1e-9)).astype(np.int64)

    @cached_property
    def least_min(self) -> Floats:
        """Least minutes by road, 0 where no table tells them, shape (places, places)."""
        least = np.zeros_like(self.road_miles)
        for (start, end), minutes in self.told_min.items():
            least[start, end] = minutes
        return least


def travel_between(
    fields: Sequence[Place],
    yards: Mapping[str, Place],
    road_factor: float,
    told_miles: Mapping[tuple[int, int], float] | None = None,
    told_min: Mapping[tuple[int, int], float] | None = None,
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
    told_miles
        Road miles by places, from and to, which stand for the reckoned ones; infinite where
        there is no way.
    told_min
        Least minutes by road, by places.
    """
    places = (*fields, *yards.values())
    straight = geodesic_miles(places)
    road = straight * road_factor
    for (start, end), miles in (told_miles or {}).items():
        road[start, end] = miles
    yard_of = {rig_id: len(fields) + place for place, rig_id in enumerate(yards)}
    return Travel(road, straight, yard_of, places, dict(told_miles or {}), dict(told_min or {}))


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
