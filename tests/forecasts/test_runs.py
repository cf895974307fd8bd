import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from forecasts.runs import Runs, by_hour

#: The one row of these tests, marked and not.
YES, NO = np.array([True]), np.array([False])


def runs(*told: tuple[int, int, float], row: int = 0) -> Runs:
    first, end, value = zip(*told, strict=True) if told else ((), (), ())
    return Runs(
        np.full(len(told), row, np.int64),
        np.array(first, np.int64),
        np.array(end, np.int64),
        np.array(value, float),
    )


def together(*some: Runs) -> Runs:
    parts = zip(*((one.row, one.first, one.end, one.value) for one in some), strict=True)
    return Runs(*(np.concatenate(part) for part in parts))


def one_row(told: Runs, start: int, hours: int):
    """The hours of row 0, and how many of them were told twice, differently."""
    grid, torn = by_hour(told, 1, start, hours)
    return grid[0], torn[0]


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
    grid, torn = one_row(runs(*told).split(YES), 0, at)

    assert torn == 0
    assert float(np.nansum(grid, dtype=float)) == pytest.approx(
        sum(total for _, _, total in told), rel=1e-5, abs=1e-6
    )


def test_hours_no_run_reaches_are_not_known():
    grid, _ = one_row(runs((2, 4, 7.0), (5, 6, 8.0)), 0, 8)
    np.testing.assert_array_equal(grid, [np.nan, np.nan, 7, 7, np.nan, 8, np.nan, np.nan])


def test_runs_out_of_order_are_laid_out_all_the_same():
    grid, torn = one_row(runs((3, 5, 2.0), (0, 3, 1.0)), 0, 5)
    np.testing.assert_array_equal(grid, [1, 1, 1, 2, 2])
    assert torn == 0


def test_hours_told_twice_with_the_same_value_stay():
    grid, torn = one_row(runs((0, 3, 1.0), (2, 4, 1.0)), 0, 4)
    np.testing.assert_array_equal(grid, [1, 1, 1, 1])
    assert torn == 0


def test_hours_told_twice_with_different_values_are_not_known():
    grid, torn = one_row(runs((0, 4, 1.0), (1, 2, 5.0), (1, 3, 1.0)), 0, 4)
    np.testing.assert_array_equal(grid, [1, np.nan, 1, 1])
    assert torn == 1


def test_an_hour_told_once_as_missing_and_once_as_known_is_not_known():
    grid, torn = one_row(runs((0, 2, np.nan), (1, 3, 4.0)), 0, 3)
    np.testing.assert_array_equal(grid, [np.nan, np.nan, 4])
    assert torn == 1


def test_runs_are_cut_at_both_ends_of_the_grid():
    grid, _ = one_row(runs((0, 10, 3.0), (10, 20, 4.0)), 8, 4)
    np.testing.assert_array_equal(grid, [3, 3, 4, 4])


def test_only_the_rows_marked_are_split():
    told = runs((0, 4, 8.0))
    assert told.split(NO).value.tolist() == [8.0]
    assert told.split(YES).value.tolist() == [2.0]


def test_a_torn_row_leaves_the_others_whole():
    torn_row = runs((0, 3, 1.0), (2, 4, 5.0), row=1)
    grid, torn = by_hour(together(runs((0, 2, 7.0)), torn_row, runs((1, 4, 9.0), row=2)), 3, 0, 4)

    np.testing.assert_array_equal(
        grid, [[7, 7, np.nan, np.nan], [1, 1, np.nan, 5], [np.nan, 9, 9, 9]]
    )
    assert torn.tolist() == [0, 1, 0]
