import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from forecasts.runs import Runs, by_hour


def runs(*told: tuple[int, int, float]) -> Runs:
    first, end, value = zip(*told, strict=True) if told else ((), (), ())
    return Runs(np.array(first, np.int64), np.array(end, np.int64), np.array(value, float))


@given(
    st.lists(
        st.tuples(st.integers(0, 5), st.integers(1, 30), st.floats(0, 50, allow_nan=False)),
        max_size=20,
    )
)
def test_splitting_totals_over_their_hours_conserves_them(gaps_lengths_totals):
    told, at = [], 0
    for gap, length, total in gaps_lengths_totals:
        told.append((at + gap, at + gap + length, total))
        at += gap + length
    grid, torn = by_hour(runs(*told).split(), 0, at)

    assert torn == 0
    assert float(np.nansum(grid, dtype=float)) == pytest.approx(
        sum(total for _, _, total in told), rel=1e-5, abs=1e-6
    )


def test_hours_no_run_reaches_are_not_known():
    grid, _ = by_hour(runs((2, 4, 7.0), (5, 6, 8.0)), 0, 8)
    np.testing.assert_array_equal(grid, [np.nan, np.nan, 7, 7, np.nan, 8, np.nan, np.nan])


def test_runs_out_of_order_are_laid_out_all_the_same():
    grid, torn = by_hour(runs((3, 5, 2.0), (0, 3, 1.0)), 0, 5)
    np.testing.assert_array_equal(grid, [1, 1, 1, 2, 2])
    assert torn == 0


def test_hours_told_twice_with_the_same_value_stay():
    grid, torn = by_hour(runs((0, 3, 1.0), (2, 4, 1.0)), 0, 4)
    np.testing.assert_array_equal(grid, [1, 1, 1, 1])
    assert torn == 0


def test_hours_told_twice_with_different_values_are_not_known():
    grid, torn = by_hour(runs((0, 4, 1.0), (1, 2, 5.0), (1, 3, 1.0)), 0, 4)
    np.testing.assert_array_equal(grid, [1, np.nan, 1, 1])
    assert torn == 1


def test_an_hour_told_once_as_missing_and_once_as_known_is_not_known():
    grid, torn = by_hour(runs((0, 2, np.nan), (1, 3, 4.0)), 0, 3)
    np.testing.assert_array_equal(grid, [np.nan, np.nan, 4])
    assert torn == 1


def test_runs_are_cut_at_both_ends_of_the_grid():
    grid, _ = by_hour(runs((0, 10, 3.0), (10, 20, 4.0)), 8, 4)
    np.testing.assert_array_equal(grid, [3, 3, 4, 4])


def test_short_runs_can_be_left_out():
    grid, _ = by_hour(runs((0, 7, 3.0), (7, 15, 4.0)).at_least(8), 0, 15)
    np.testing.assert_array_equal(grid, [np.nan] * 7 + [4.0] * 8)
