import math

import pytest

from forecasts.cells import (
    cell_holds,
    centre_distance_km,
    outline_distance_km,
    outline_holds,
)
from tests.forecasts.answers import LATITUDE, LONGITUDE, RING

OUTLINE = tuple((lon, lat) for lon, lat in RING)


def test_a_place_inside_its_outline_is_held():
    assert outline_distance_km(OUTLINE, LATITUDE, LONGITUDE) == 0
    assert outline_holds(OUTLINE, LATITUDE, LONGITUDE)


@pytest.mark.parametrize(
    ("latitude", "longitude", "held"),
    [
        # The east edge is at -101.736; 0.01 degree of longitude is 0.914 km at 34.75 N.
        (34.75, -101.731, True),  # 0.46 km out
        (34.75, -101.730, False),  # 0.55 km out
        # The north edge is at 34.761; 0.01 degree of latitude is 1.112 km.
        (34.765, -101.75, True),  # 0.44 km out
        (34.766, -101.75, False),  # 0.56 km out
        (-34.75, 101.75, False),
    ],
)
def test_half_a_kilometre_outside_is_forgiven_and_more_is_not(latitude, longitude, held):
    assert outline_holds(OUTLINE, latitude, longitude) is held


def test_distance_is_in_kilometres():
    # One degree of latitude north of the north edge: 111.195 km, mean earth radius 6371 km.
    assert outline_distance_km(OUTLINE, 35.761, LONGITUDE) == pytest.approx(111.195, abs=0.01)


def test_without_an_outline_no_place_is_held():
    assert outline_distance_km((), LATITUDE, LONGITUDE) == math.inf
    assert not outline_holds((), LATITUDE, LONGITUDE)


def test_an_outline_that_crosses_itself_or_the_date_line_still_works():
    bow = ((0.0, 0.0), (0.0, 2.0), (2.0, 0.0), (2.0, 2.0), (0.0, 0.0))
    assert outline_holds(bow, 1.0, 0.2)
    across = ((179.99, 0.0), (-179.99, 0.0), (-179.99, 0.1), (179.99, 0.1), (179.99, 0.0))
    assert outline_holds(across, 0.05, 180.0)
    assert not outline_holds(across, 0.05, 0.0)


def box(half_width_deg: float) -> tuple[tuple[float, float], ...]:
    """A ring around 0 N 0 E."""
    w = half_width_deg
    return ((-w, -w), (w, -w), (w, w), (-w, w), (-w, -w))


def test_the_middle_of_a_cell_is_measured_in_kilometres():
    # 0.04 degree of latitude is 4.45 km.
    assert centre_distance_km(box(1), 0.04, 0.0) == pytest.approx(4.45, abs=0.01)
    assert centre_distance_km((), 0.0, 0.0) == math.inf


def test_an_outline_that_holds_half_a_state_is_no_cell_of_the_us_service():
    # 0.05 degree is 5.56 km from the middle, and well inside the outline.
    assert outline_holds(box(1), 0.05, 0.0)
    assert not cell_holds("nws:XYZ/1,2", box(1), 0.05, 0.0)
    assert cell_holds("nws:XYZ/1,2", box(1), 0.04, 0.0)


def test_a_world_model_may_answer_from_further_away():
    assert cell_holds("world:0.05,0.00", box(0.1), 0.09, 0.0)
    assert not cell_holds("world:0.05,0.00", box(1), 0.5, 0.0)
