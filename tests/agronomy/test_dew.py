"""Dew point and dew hours."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from agronomy.dew import dew_hours, dew_point_f, leaf_wet
from agronomy.three_valued import NO, UNKNOWN, YES

NAN = np.nan
DRY_F, DRY_PCT = 80.0, 40.0


def test_dew_point_agrees_with_psychrolib_above_freezing():
    # ASHRAE's equations saturate over ice below freezing, a forecast's humidity over water.
    psychrolib = pytest.importorskip("psychrolib")
    psychrolib.SetUnitSystem(psychrolib.IP)
    temps, humidity = np.meshgrid([40.0, 55.0, 75.0, 105.0], [20.0, 45.0, 75.0, 99.0])
    reference = np.vectorize(psychrolib.GetTDewPointFromRelHum)(temps, humidity / 100)
    ours = dew_point_f(temps, humidity)
    wet = reference > 32.1
    assert wet.sum() >= 10
    assert np.abs(ours - reference)[wet].max() < 0.12


@pytest.mark.parametrize(
    ("temp_f", "humidity", "expected_f"),
    [
        pytest.param(68.0, 50.0, 48.7, id="20 C at 50 % has its dew point at 9.3 C, from memory"),
        pytest.param(50.0, 100.0, 50.0, id="saturated air is at its dew point, definition"),
    ],
)
def test_dew_point_of_known_air(temp_f, humidity, expected_f):
    assert dew_point_f(temp_f, humidity) == pytest.approx(expected_f, abs=0.1)


@given(st.floats(-20, 115), st.floats(0, 100), st.floats(0, 50))
def test_damper_air_has_a_higher_dew_point_never_above_the_air(temp, humidity, more):
    drier, damper = dew_point_f(temp, [humidity, min(100.0, humidity + more)])
    assert drier <= damper <= temp


def test_missing_and_impossible_air_has_no_dew_point():
    told = dew_point_f([60.0, np.nan, 60.0, 60.0, 60.0], [50.0, 50.0, np.nan, 101.0, -1.0])
    assert np.isnan(told).tolist() == [False, True, True, True, True]
    assert isinstance(dew_point_f(60.0, 50.0), float)


def test_very_dry_air_still_has_a_dew_point_of_its_own():
    assert dew_point_f(68.0, 0.0) == dew_point_f(68.0, 0.01) < dew_point_f(68.0, 0.5) - 20


def air(damp_hours, temp_f=60.0, humidity=89.0, hours=24):
    temps, wet = np.full(hours, DRY_F), np.full(hours, DRY_PCT)
    temps[damp_hours], wet[damp_hours] = temp_f, humidity
    return temps, wet


def test_nearly_saturated_air_makes_dew_at_night_only():
    temps, wet = air(slice(2, 7))  # 60 F at 89 % is 3.2 F above its dew point
    night = np.arange(24) < 5
    assert dew_hours(temps, wet, night)[0] == 3
    assert dew_hours(temps, wet)[0] == 5


@pytest.mark.parametrize(("humidity", "hours"), [(88.2, 5), (87.2, 0)])
def test_dew_begins_within_two_celsius_of_the_dew_point(humidity, hours):
    """60 F at 88.2 % is 3.50 F above its dew point and at 87.2 % 3.81 F, by ASHRAE's equations."""
    temps, wet = air(slice(2, 7), humidity=humidity)
    assert dew_hours(temps, wet)[0] == hours


def test_ninety_percent_wets_leaves_by_day_too():
    temps, wet = air(slice(12, 15), humidity=np.float32(90.0))
    assert dew_hours(temps, wet, night=False)[0] == 3
    temps, wet = air(slice(12, 15), humidity=89.8)
    assert dew_hours(temps, wet, night=False)[0] == 0


def test_a_count_looks_at_the_24_hours_from_each_hour():
    temps, wet = air(slice(24, 30), humidity=95.0, hours=48)
    counted = dew_hours(temps, wet)
    assert counted[[0, 1, 6, 24]].tolist() == [0, 1, 6, 6]
    assert np.isnan(counted[25:]).all()


def test_a_lost_hour_never_reads_as_dry():
    temps, wet = air(slice(2, 7), humidity=95.0)
    for lost in (temps, wet):
        kept, lost[20] = lost[20], np.nan
        assert np.isnan(dew_hours(temps, wet)[0])
        lost[20] = kept
    # At 95 % an hour is wet whatever the temperature, and by day 40 % is dry whatever it is.
    temps[[3, 20]] = np.nan
    assert dew_hours(temps, wet, night=np.arange(24) < 8)[0] == 5


@pytest.mark.parametrize(
    ("humidity", "hours"), [(100.0, 5), (100.5, np.nan), (0.0, 0), (-0.5, np.nan)]
)
def test_impossible_humidity_leaves_the_day_not_known(humidity, hours):
    temps, wet = air(slice(2, 7), humidity=humidity)
    assert dew_hours(temps, wet, night=False)[0] == pytest.approx(hours, nan_ok=True)


def test_cells_are_counted_apart_and_short_runs_not_at_all():
    temps, wet = air(slice(2, 7), humidity=95.0)
    both = dew_hours(np.stack([temps, temps]), np.stack([wet, np.full(24, DRY_PCT)]))
    assert both[:, 0].tolist() == [5, 0]
    assert np.isnan(dew_hours(temps[:10], wet[:10])).all()


def test_each_hour_is_wet_dry_or_not_known():
    told = leaf_wet([60, 60, 60, NAN, NAN, 60], [95, 89, 89, 95, 40, NAN], [0, 1, 0, 1, 1, 0])
    assert told.tolist() == [YES, YES, NO, YES, UNKNOWN, UNKNOWN]
    assert leaf_wet(NAN, 40, night=False) == NO
