"""Wet bulb, Delta T and pressure."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from agronomy.moist_air import (
    SEA_LEVEL_HPA,
    delta_t_f,
    pressure_hpa,
    saturation_pressure_hpa,
    wet_bulb_f,
)

#: Dry bulb [C], humidity [%], wet bulb [C] worked from the sea-level formula of Stull 2011, which
#: is printed as good to -1.0 and +0.65 C.
STULL = [
    (20, 50, 13.70),
    (30, 50, 22.30),
    (25, 60, 19.50),
    (15, 80, 12.73),
    (10, 95, 9.43),
    (28, 30, 16.86),
]
#: Dry bulb [C], humidity [%], Delta T [C] worked from the same formula.
STULL_DELTA_T = [(30, 50, 7.7), (30, 20, 14.1), (35, 20, 15.7), (25, 60, 5.5), (10, 95, 0.57)]


@pytest.mark.parametrize(("dry_c", "humidity", "expected_c"), STULL)
def test_wet_bulb_at_sea_level_is_near_stull_2011(dry_c, humidity, expected_c):
    wet_c = (wet_bulb_f(dry_c * 1.8 + 32, humidity, SEA_LEVEL_HPA) - 32) / 1.8
    assert -0.65 <= wet_c - expected_c <= 1.0


@pytest.mark.parametrize(("dry_c", "humidity", "expected_c"), STULL_DELTA_T)
def test_delta_t_at_sea_level_is_near_stull_2011(dry_c, humidity, expected_c):
    delta_c = delta_t_f(dry_c * 1.8 + 32, humidity, SEA_LEVEL_HPA) / 1.8
    assert -1.0 <= delta_c - expected_c <= 0.65


@pytest.mark.parametrize(
    ("temp_c", "expected_kpa"),
    [
        pytest.param(15, 1.705, id="FAO-56, 1998, chapter 3: 15 C"),
        pytest.param(24.5, 3.075, id="FAO-56, 1998, chapter 3: 24.5 C"),
    ],
)
def test_saturation_pressure_matches_the_printed_one(temp_c, expected_kpa):
    # The printed values use a shorter formula; both agree within 0.1 %.
    got = saturation_pressure_hpa(temp_c * 1.8 + 32) / 10
    assert got == pytest.approx(expected_kpa, rel=1e-3)


@pytest.mark.parametrize(
    ("elevation_ft", "expected_psi"),
    [
        pytest.param(0, 14.696, id="ASHRAE 2017, chapter 1, table 1, from memory: sea level"),
        pytest.param(5000, 12.228, id="ASHRAE 2017, chapter 1, table 1, from memory: 5000 ft"),
        pytest.param(10000, 10.108, id="ASHRAE 2017, chapter 1, table 1, from memory: 10000 ft"),
    ],
)
def test_pressure_follows_the_standard_atmosphere(elevation_ft, expected_psi):
    assert pressure_hpa(elevation_ft) == pytest.approx(expected_psi * 68.9476, rel=2e-4)


def test_wet_bulb_agrees_with_psychrolib_within_a_tenth_of_a_degree():
    psychrolib = pytest.importorskip("psychrolib")
    psychrolib.SetUnitSystem(psychrolib.IP)
    temps, humidity, pressure = np.meshgrid(
        [10.0, 25.0, 31.0, 33.0, 40.0, 55.0, 75.0, 105.0],
        [3.0, 20.0, 45.0, 75.0, 100.0],
        [870.0, 900.0, SEA_LEVEL_HPA],
        indexing="ij",
    )
    reference = np.vectorize(psychrolib.GetTWetBulbFromRelHum)(
        temps, humidity / 100, pressure / 68.9475729
    )
    assert np.abs(wet_bulb_f(temps, humidity, pressure) - reference).max() < 0.1


def test_thin_air_of_the_high_plains_makes_a_dry_hour_drier():
    # At 3,300 ft a dry afternoon differs by more than half a degree: sea level is not enough.
    assert delta_t_f(95.0, 30.0, pressure_hpa(3300.0)) > delta_t_f(95.0, 30.0, SEA_LEVEL_HPA) + 0.5


def test_missing_and_impossible_values_are_not_known():
    temps = [70.0, np.nan, 70.0, 70.0, 70.0, 70.0, 70.0]
    humidity = [50.0, 50.0, np.nan, 104.0, -1.0, 50.0, 50.0]
    pressure = [900.0, 900.0, 900.0, 900.0, 900.0, np.nan, 0.0]
    assert np.isnan(wet_bulb_f(temps, humidity, pressure)).tolist() == [False] + [True] * 6
    assert np.isnan(delta_t_f(temps, humidity, pressure)).tolist() == [False] + [True] * 6


def test_scalars_give_a_float():
    assert isinstance(wet_bulb_f(60.0, 50.0, 1000.0), float)
    assert isinstance(delta_t_f(60.0, 50.0, 1000.0), float)
    assert isinstance(pressure_hpa(3300.0), float)


def test_saturated_air_has_no_delta_t_and_bone_dry_air_has_one():
    assert delta_t_f([40.0, 70.0, 95.0], 100.0, 950.0) == pytest.approx([0, 0, 0], abs=1e-3)
    assert 30 < delta_t_f(95.0, 0.0, 950.0) < 60


@given(
    st.floats(min_value=36, max_value=115),
    st.floats(min_value=1, max_value=99),
    st.floats(min_value=0, max_value=30),
    st.floats(min_value=820, max_value=1030),
)
def test_damper_air_has_no_larger_delta_t(temp, humidity, more, pressure):
    # Within the 1.5 F that an iced and a wet bulb may differ by around freezing.
    damper = delta_t_f(temp, min(100.0, humidity + more), pressure)
    drier = delta_t_f(temp, humidity, pressure)
    slack = 1.5 if 28 < temp - drier < 36 else 1e-3
    assert 0 <= damper <= drier + slack
