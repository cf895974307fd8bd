"""Values told for runs of hours, laid out hour by hour."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from agronomy.hourly_forecast import Hours

Whole = npt.NDArray[np.int64]
Real = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Runs:
    """Values of several layers: ``value[i]`` of layer ``row[i]`` holds from hour ``first[i]`` up
    to ``end[i]``.

    Hours count from 1970 UTC, ends are not inside, NaN is not known; all of one length, in any
    order. All layers stand in one because few long arrays are quicker than many short ones.
    """

    row: Whole
    first: Whole
    end: Whole
    value: Real

    def only(self, wanted: Mask) -> "Runs":
        """Some of the runs."""
        return Runs(self.row[wanted], self.first[wanted], self.end[wanted], self.value[wanted])

    def of_rows(self, rows: Mask) -> Mask:
        """Which runs belong to the rows marked."""
        return rows[self.row]

    def in_order(self, hours: int) -> "Runs":
        """The runs row by row and hour by hour, where no hour lies beyond ``hours``."""
        place = self.row * (hours + 1) + self.first
        if bool((place[1:] >= place[:-1]).all()):
            return self
        order = np.argsort(place, kind="stable")
        return Runs(self.row[order], self.first[order], self.end[order], self.value[order])

    def split(self, rows: Mask) -> "Runs":
        """Totals of the rows marked as equal shares of the hours they fall in."""
        hours = np.where(self.of_rows(rows), self.end - self.first, 1)
        return Runs(self.row, self.first, self.end, self.value / hours)


def by_hour(runs: Runs, rows: int, start: int, hours: int) -> tuple[Hours, Whole]:
    """Lay runs out over ``hours`` hours from hour ``start``.

    Returns
    -------
    tuple
        The hourly values, shape (rows, hours), NaN where no run reaches; and for each row how
        many hours were told twice with different values, which become NaN because nobody can say
        which is right.
    """
    # Runs of nearly every answer stand in order and apart. They and the gaps between them fill
    # the grid from its first cell to its last: each value and each gap's NaN, as often as it is
    # long, is the grid.
    edges = np.empty(2 * runs.row.size + 2, dtype=np.int64)
    edges[0], edges[-1] = 0, rows * hours
    inner = edges[1:-1].reshape(-1, 2)
    inner[:, 0], inner[:, 1] = runs.first, runs.end
    inner -= start
    np.maximum(inner, 0, out=inner)
    np.minimum(inner, hours, out=inner)
    inner += (runs.row * hours)[:, None]
    lengths = edges[1:] - edges[:-1]
    if lengths.min() < 0:
        return _in_any_order(runs, rows, start, hours)
    value = np.full(lengths.size, np.nan, dtype=np.float32)
    value[1::2] = runs.value
    return np.repeat(value, lengths).reshape(rows, hours), np.zeros(rows, dtype=np.int64)


def _in_any_order(runs: Runs, rows: int, start: int, hours: int) -> tuple[Hours, Whole]:
    """What `by_hour` tells, of runs in any order that may overlap."""
    grid = np.full((rows, hours), np.nan, dtype=np.float32)
    torn = np.zeros(rows, dtype=np.int64)
    first = np.minimum(np.maximum(runs.first - start, 0), hours)
    end = np.minimum(np.maximum(runs.end - start, 0), hours)
    told = Runs(runs.row, first, end, runs.value).in_order(hours)
    overlap = (told.first[1:] < told.end[:-1]) & (told.row[1:] == told.row[:-1])
    if overlap.any():
        doubled = np.zeros(rows, dtype=bool)
        doubled[told.row[1:][overlap]] = True
        for row in np.flatnonzero(doubled).tolist():
            mine = told.only(told.row == row)
            grid[row], torn[row] = _by_hour_with_overlap(mine, hours)
        told = told.only(~told.of_rows(doubled))
    lengths = told.end - told.first
    before = np.cumsum(lengths) - lengths
    at = np.repeat(told.row * hours + told.first - before, lengths)
    grid.reshape(-1)[at + np.arange(at.size)] = np.repeat(told.value, lengths)
    return grid, torn


def _by_hour_with_overlap(runs: Runs, hours: int) -> tuple[Hours, int]:
    """One row whose runs overlap; its hours count from the start of the grid."""
    grid = np.full(hours, np.nan)
    told = np.zeros(hours, dtype=bool)
    torn = np.zeros(hours, dtype=bool)
    each = (runs.first.tolist(), runs.end.tolist(), runs.value.tolist())
    for begin, stop, now in zip(*each, strict=True):
        before = grid[begin:stop]
        same = np.isclose(before, now, rtol=0, atol=1e-9, equal_nan=True)
        torn[begin:stop] |= told[begin:stop] & ~same
        told[begin:stop] = True
        grid[begin:stop] = now
    grid[torn] = np.nan
    return grid.astype(np.float32), int(torn.sum())
