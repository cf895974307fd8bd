"""The first freeze hour."""

import numpy as np

from agronomy.freeze import first_freeze_hour


def test_the_first_hour_at_or_below_the_threshold_is_returned():
    assert first_freeze_hour([40, 33, 32, 31, 40], 32.0) == 2
    assert isinstance(first_freeze_hour([40.0, 31.0], 32.0), float)


def test_no_freeze_seen_is_not_a_number():
    assert np.isnan(first_freeze_hour([40.0, 33.0], 32.0))


def test_unknown_hours_are_no_freeze_and_do_not_hide_a_later_one():
    assert np.isnan(first_freeze_hour([np.nan, 40.0, np.nan], 32.0))
    assert first_freeze_hour([40.0, np.nan, 30.0], 32.0) == 2


def test_each_cell_has_its_own_first_freeze():
    temps = np.array([[40, 31, 30], [40, 40, 28], [40, 40, 40.0]])
    np.testing.assert_array_equal(first_freeze_hour(temps, 32.0), [1, 2, np.nan])


def test_a_freeze_that_unit_conversion_moved_by_a_hair_still_counts():
    assert first_freeze_hour([32.0000038], 32.0) == 0
    assert first_freeze_hour(np.array([-2.2222222 * 1.8 + 32], dtype=np.float32), 28.0) == 0
    assert np.isnan(first_freeze_hour([32.01], 32.0))
