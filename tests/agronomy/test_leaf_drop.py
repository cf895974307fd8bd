"""The day on which leaf drop should be full."""

import math

import pytest

from agronomy.leaf_drop import leaf_drop_days

#: Activity of the reference week is 15.7 activity-days: seven days of 70 F, 70 DD60 (S9).
REFERENCE_DAY = 15.7 / 7


@pytest.mark.parametrize(
    ("daily", "days"),
    [
        pytest.param([REFERENCE_DAY * 1.0001] * 21, 7, id="the reference week"),
        pytest.param([REFERENCE_DAY / 2 * 1.0001] * 21, 14, id="half of its warmth takes twice"),
        pytest.param([9.0] * 21, 7, id="never sooner than 7 days"),
        pytest.param([0.1] * 21, 21, id="never later than 21 days"),
        pytest.param([0.1] * 40, 21, id="nor with more days told"),
        pytest.param([0.1] * 21 + [90.0], 21, id="a warm day after them changes nothing"),
        pytest.param([0.0] * 9 + [15.7] + [0.0] * 11, 10, id="the tenth day does it"),
    ],
)
def test_leaf_drop_is_full_when_the_reference_dose_is_reached(daily, days):
    assert leaf_drop_days(daily) == days


def test_a_day_that_is_not_known_leaves_it_unknown_unless_the_dose_was_there_before():
    assert leaf_drop_days([1.0, math.nan, *[3.0] * 19]) is None
    assert leaf_drop_days([*[3.0] * 8, math.nan]) == 7
