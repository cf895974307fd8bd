import numpy as np
import pytest

from forecasts.runs import Runs, by_hour

NAN = np.nan


def runs(*told: tuple[int, int, int, float]) -> Runs:
    row, first, end, value = (list(part) for part in zip(*told, strict=True)) if told else [[]] * 4
    whole = [np.array(part, np.int64) for part in (row, first, end)]
    return Runs(*whole, np.array(value, float))


@pytest.mark.parametrize(
    ("told", "grid", "torn"),
    [
        pytest.param([], [[NAN] * 4, [NAN] * 4], [0, 0], id="nothing told"),
        pytest.param(
            [(0, 11, 12, 1.0), (0, 12, 13, 2.0), (1, 10, 14, 3.0)],
            [[NAN, 1, 2, NAN], [3, 3, 3, 3]],
            [0, 0],
            id="gaps before, between and after",
        ),
        pytest.param(
            [(0, 1, 5, 9.0), (0, 5, 11, 1.0), (0, 13, 20, 2.0), (0, 20, 22, 9.0)],
            [[1, NAN, NAN, 2], [NAN] * 4],
            [0, 0],
            id="cut at both ends of the grid",
        ),
        pytest.param(
            [(0, 10, 11, 1.0), (1, 8, 11, 2.0)],
            [[1, NAN, NAN, NAN], [2, NAN, NAN, NAN]],
            [0, 0],
            id="a later row cut at the start",
        ),
        pytest.param(
            [(1, 12, 14, 2.0), (0, 10, 12, 1.0)],
            [[1, 1, NAN, NAN], [NAN, NAN, 2, 2]],
            [0, 0],
            id="out of order",
        ),
        pytest.param(
            [(0, 10, 14, 7.0), (1, 10, 13, 1.0), (1, 12, 14, 2.0)],
            [[7, 7, 7, 7], [1, 1, NAN, 2]],
            [0, 1],
            id="an hour told twice, differently",
        ),
        pytest.param(
            [(0, 10, 12, NAN), (0, 12, 14, 2.0)],
            [[NAN, NAN, 2, 2], [NAN] * 4],
            [0, 0],
            id="told as not known",
        ),
    ],
)
def test_runs_become_the_hours_they_are_told_for(told, grid, torn):
    got, times = by_hour(runs(*told), 2, 10, 4)
    np.testing.assert_array_equal(got, grid)
    assert got.dtype == np.float32
    assert times.tolist() == torn


def test_a_grid_of_no_hours_is_empty():
    grid, torn = by_hour(runs((0, 10, 12, 1.0)), 2, 10, 0)
    assert grid.shape == (2, 0)
    assert torn.tolist() == [0, 0]
