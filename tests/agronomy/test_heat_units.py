"""Heat units: rules, missing values, refusals, laws, and a reference library."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from agronomy.heat_units import (
    clipped_heat_units,
    daily_heat_units,
    double_sine_heat_units,
    double_triangle_heat_units,
    hourly_heat_units,
    single_sine_heat_units,
    single_triangle_heat_units,
)

SINGLE = (
    daily_heat_units,
    clipped_heat_units,
    single_sine_heat_units,
    single_triangle_heat_units,
)
CAPPED = (clipped_heat_units, single_sine_heat_units, single_triangle_heat_units)
temperatures = st.floats(min_value=-40, max_value=130)


@pytest.mark.parametrize("method", SINGLE)
def test_scalars_give_a_float_and_arrays_keep_their_shape(method):
    assert isinstance(method(80.0, 55.0), float)
    assert method(np.full((3, 7), 80.0), np.full((3, 7), 55.0)).shape == (3, 7)


@pytest.mark.parametrize("method", SINGLE)
def test_a_missing_extreme_leaves_only_its_own_day_missing(method):
    units = method([80.0, np.nan, 80.0, 80.0], [55.0, 55.0, np.nan, 55.0])
    assert np.isnan(units).tolist() == [False, True, True, False]


@pytest.mark.parametrize("method", [double_sine_heat_units, double_triangle_heat_units])
def test_a_missing_next_night_leaves_the_double_methods_missing(method):
    assert np.isnan(method(80.0, 55.0, np.nan, 60.0, None))


@pytest.mark.parametrize("method", SINGLE)
def test_a_maximum_below_its_minimum_is_refused_with_both_figures(method):
    with pytest.raises(ValueError, match=r"max_f\[1\]: got 50 with a minimum of 70, wanted .*swap"):
        method([80.0, 50.0], [55.0, 70.0])


@pytest.mark.parametrize("method", CAPPED)
def test_a_cap_at_the_base_is_refused(method):
    with pytest.raises(ValueError, match=r"cap_f: got 60, wanted more than base_f 60"):
        method(80.0, 55.0, 60.0, 60.0)


@pytest.mark.parametrize("method", [double_sine_heat_units, double_triangle_heat_units])
def test_a_night_warmer_than_the_day_before_is_a_rising_half_day(method):
    falling = method(70.0, 50.0, 76.0, 60.0, None)
    assert falling > method(70.0, 50.0, 70.0, 60.0, None)


@pytest.mark.parametrize(
    ("double", "single"),
    [
        (double_sine_heat_units, single_sine_heat_units),
        (double_triangle_heat_units, single_triangle_heat_units),
    ],
)
def test_double_methods_equal_single_ones_when_nights_are_alike(double, single):
    assert double(90.0, 50.0, 50.0, 60.0, 86.0) == pytest.approx(single(90.0, 50.0, 60.0, 86.0))


def test_one_unknown_hour_makes_the_sum_of_hours_unknown():
    hours = np.full((2, 24), 70.0)
    hours[1, 5] = np.nan
    assert hourly_heat_units(hours)[0] == pytest.approx(10.0)
    assert np.isnan(hourly_heat_units(hours)[1])


def test_a_sine_of_hours_gives_the_closed_form():
    minutes = 70 + 15 * np.sin(np.linspace(0, 2 * np.pi, 24 * 60, endpoint=False))
    by_hand = np.maximum(minutes - 60, 0).mean()
    assert single_sine_heat_units(85.0, 55.0) == pytest.approx(by_hand, abs=1e-3)


@given(st.tuples(temperatures, temperatures), st.floats(min_value=40, max_value=70))
def test_heat_units_lie_between_zero_and_the_excess_of_the_maximum(day, base):
    low, high = sorted(day)
    for method in SINGLE:
        assert -1e-9 <= method(high, low, base) <= max(0.0, high - base) + 1e-9


@given(st.tuples(temperatures, temperatures), st.floats(min_value=0, max_value=20))
def test_a_warmer_day_never_has_fewer_heat_units(day, warming):
    low, high = sorted(day)
    for method in SINGLE:
        assert method(high + warming, low) >= method(high, low) - 1e-9
        assert method(high + warming, low + warming) >= method(high, low) - 1e-9


@given(st.tuples(temperatures, temperatures))
def test_curves_never_give_less_than_the_simple_average(day):
    low, high = sorted(day)
    for method in (single_sine_heat_units, single_triangle_heat_units, clipped_heat_units):
        assert method(high, low) >= daily_heat_units(high, low) - 1e-9


@given(st.tuples(temperatures, temperatures), st.floats(min_value=61, max_value=100))
def test_a_cap_never_adds_heat_and_bounds_the_day(day, cap):
    low, high = sorted(day)
    for method in CAPPED:
        assert method(high, low, 60.0, cap) <= min(method(high, low, 60.0), cap - 60) + 1e-9


@pytest.mark.filterwarnings("ignore")
def test_daily_heat_units_agree_with_the_growing_degree_days_of_xclim():
    xclim_indices = pytest.importorskip("xclim.indices")
    import pandas as pd
    import xarray as xr

    highs = 60 + 25 * np.random.default_rng(7).random(61)
    lows = highs - 24 * np.random.default_rng(8).random(61)
    days = pd.date_range("2026-09-01", periods=61, freq="D")
    mean = xr.DataArray(
        ((highs + lows) / 2 - 32) / 1.8, dims="time", coords={"time": days}, attrs={"units": "degC"}
    )
    total = xclim_indices.growing_degree_days(mean, thresh="60 degF", freq="YS").sum()
    assert daily_heat_units(highs, lows).sum() == pytest.approx(1.8 * float(total), rel=1e-6)
