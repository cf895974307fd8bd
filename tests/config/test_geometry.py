"""Areas, points and slips of fields."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point, Polygon

from config.coordinates import NORTH_AMERICA, middle_of, slip
from config.geometry import acres_of, place_of


def square(south, west, size):
    north, east = south + size, west + size
    return [[west, south], [east, south], [east, north], [west, north], [west, south]]


def polygon(*rings):
    return {"type": "Polygon", "coordinates": list(rings)}


def spherical_acres(south, west, size):
    """Area of a box on a sphere of the mean radius 6371.0088 km (IUGG 1980) [acres]."""
    band = math.sin(math.radians(south + size)) - math.sin(math.radians(south))
    square_metres = 6_371_008.8**2 * math.radians(size) * band
    return square_metres / 4046.8564224


@given(st.floats(25, 49), st.floats(-124, -67), st.floats(0.001, 0.05))
def test_acres_agree_with_a_sphere_within_one_percent(south, west, size):
    measured = place_of(polygon(square(south, west, size))).measured_acres
    assert measured == pytest.approx(spherical_acres(south, west, size), rel=0.01)


def test_acres_agree_with_the_ellipsoid_by_hand():
    # Radii of curvature of WGS 84 (a 6378137 m, f 1/298.257223563; NIMA TR8350.2, 2000) at
    # latitude 34.405: M = a(1-e2)/(1-e2 sin2)^1.5 and N = a/(1-e2 sin2)^0.5; the small box holds
    # M N cos(lat) dlat dlon.
    e2 = 0.00669437999014
    lat, step = math.radians(34.405), math.radians(0.01)
    bent = 1 - e2 * math.sin(lat) ** 2
    by_hand = 6378137**2 * (1 - e2) / bent**2 * math.cos(lat) * step**2 / 4046.8564224
    measured = place_of(polygon(square(34.4, -101.7, 0.01))).measured_acres
    assert measured == pytest.approx(by_hand, rel=1e-5)


def test_the_direction_of_a_ring_does_not_matter_and_holes_are_taken_off():
    outer, hole = square(34.4, -101.7, 0.01), square(34.402, -101.698, 0.002)
    whole = place_of(polygon(outer)).measured_acres
    assert place_of(polygon(outer[::-1])).measured_acres == pytest.approx(whole)
    for ring in (hole, hole[::-1]):
        holed = place_of(polygon(outer, ring)).measured_acres
        assert holed == pytest.approx(whole * 0.96, rel=1e-4)


def test_an_open_ring_is_closed():
    ring = square(34.4, -101.7, 0.01)
    assert place_of(polygon(ring[:-1])) == place_of(polygon(ring))


def test_a_hole_outside_the_outline_is_refused():
    with pytest.raises(ValueError, match=r"not sound \(hole lies outside shell\)"):
        place_of(polygon(square(34.4, -101.7, 0.01), square(34.5, -101.7, 0.002)))


@pytest.mark.parametrize("ring", [[[0, 0]] * 5, [[1, 1], [2, 2], [1, 1], [2, 2]]])
def test_a_ring_of_too_few_points_is_refused(ring):
    with pytest.raises(ValueError, match="different points"):
        place_of(polygon(ring))


def test_an_outline_without_area_is_refused():
    with pytest.raises(ValueError, match="got an outline"):
        place_of(polygon([[-101.7, 34.4], [-101.6, 34.4], [-101.5, 34.4], [-101.7, 34.4]]))


@pytest.mark.fault("I09")
def test_the_point_of_a_u_shaped_field_lies_in_it():
    ring = [[0, 0], [9, 0], [9, 9], [8, 9], [8, 1], [1, 1], [1, 9], [0, 9], [0, 0]]
    ring = [[-101.7 + lon / 1000, 34.4 + lat / 1000] for lon, lat in ring]
    shape = Polygon(ring)
    place = place_of(polygon(ring))
    assert not shape.contains(shape.centroid)
    assert shape.contains(Point(place.longitude, place.latitude))


def test_parts_of_a_field_count_together_and_the_largest_gives_the_outline():
    small, large = square(34.4, -101.7, 0.005), square(34.5, -101.7, 0.01)
    place = place_of({"type": "MultiPolygon", "coordinates": [[small], [large]]})
    alone = [place_of(polygon(ring)).measured_acres for ring in (small, large)]
    assert place.measured_acres == pytest.approx(sum(alone))
    assert place.outline == tuple(map(tuple, large))
    assert 34.5 < place.latitude < 34.51


def test_parts_that_touch_or_overlap_are_not_counted_twice():
    left, right = square(34.4, -101.7, 0.01), square(34.4, -101.69, 0.01)
    one = place_of(polygon(left)).measured_acres
    for parts, acres in (([[left], [right]], 2 * one), ([[left], [left]], one)):
        place = place_of({"type": "MultiPolygon", "coordinates": parts})
        assert place.measured_acres == pytest.approx(acres, rel=1e-6)


def test_acres_of_nothing_are_none():
    assert acres_of(Polygon()) == 0


PLACES = st.tuples(st.floats(24, 50), st.floats(-125, -66))


@given(PLACES)
def test_a_place_in_north_america_is_never_taken_for_a_slip(place):
    assert slip(*place, None) is None


@pytest.mark.fault("I10", "I11")
@given(PLACES)
def test_swapped_and_sign_lost_places_are_always_told(place):
    latitude, longitude = place
    assert slip(longitude, latitude, None) is not None
    assert slip(latitude, -longitude, None) is not None
    assert slip(-longitude, latitude, None) is not None


@pytest.mark.parametrize("place", [(37.0, 37.3), (-28.6, 150.4), (-12.5, -55.7), (40.4, 64.2)])
def test_cotton_country_elsewhere_is_left_alone(place):
    assert not NORTH_AMERICA.holds(*place)
    assert slip(*place, None) is None


def test_one_field_unlike_the_farms_others_is_told():
    others = middle_of([(-12.5, -55.7), (-12.6, -55.8), (-12.4, -55.6), (-55.7, -12.5)])
    assert slip(-12.5, -55.7, others) is None
    key, words = slip(-55.7, -12.5, others)
    assert key == "latitude"
    assert "swap them" in words
