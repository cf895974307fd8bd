"""Runs that stand in order and apart, as those of nearly every answer do, laid out at once."""

import numpy as np

from agronomy.hourly_forecast import Hours
from forecasts.runs import Runs, Whole, by_hour


def by_hour_at_once(runs: Runs, rows: int, start: int, hours: int) -> tuple[Hours, Whole]:
    """What `by_hour` tells, quicker where the runs stand row by row and do not overlap.

    Such runs and the gaps between them fill the grid from its first cell to its last, so that
    repeating each value and each gap's NaN by its length is the grid.
    """
    edges = np.empty(2 * runs.row.size + 2, dtype=np.int64)
    edges[0], edges[-1] = 0, rows * hours
    inner = edges[1:-1].reshape(-1, 2)
    inner[:, 0], inner[:, 1] = runs.first, runs.end
    inner -= start
    np.maximum(inner, 0, out=inner)
    np.minimum(inner, hours, out=inner)
    row_start = runs.row * hours
    inner[:, 0] += row_start
    inner[:, 1] += row_start
    lengths = edges[1:] - edges[:-1]
    if lengths.min() < 0:
        return by_hour(runs, rows, start, hours)
    value = np.full(lengths.size, np.nan, dtype=np.float32)
    value[1::2] = runs.value
    return np.repeat(value, lengths).reshape(rows, hours), np.zeros(rows, dtype=np.int64)
