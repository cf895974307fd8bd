"""Values told for runs of hours, laid out hour by hour."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from agronomy.hourly_forecast import Hours

Whole = npt.NDArray[np.int64]
Real = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Runs:
    """Values of one layer: ``value[i]`` holds from hour ``first[i]`` up to ``end[i]``.

    Hours count from 1970 UTC, ends are not inside, NaN is not known; all of one length, in any
    order.
    """

    first: Whole
    end: Whole
    value: Real

    def split(self) -> "Runs":
        """Totals as equal shares of the hours they fall in."""
        return Runs(self.first, self.end, self.value / (self.end - self.first))

    def named_by_first_hour(self) -> "Runs":
        """The same runs, each with its own first hour as value; not known where it was not."""
        first = np.where(np.isnan(self.value), np.nan, self.first)
        return Runs(self.first, self.end, first)

    def at_least(self, hours: int) -> "Runs":
        """Only the runs of ``hours`` or more."""
        long = self.end - self.first >= hours
        return Runs(self.first[long], self.end[long], self.value[long])


def by_hour(runs: Runs, start: int, hours: int) -> tuple[Hours, int]:
    """Lay runs out over ``hours`` hours from hour ``start``.

    Returns
    -------
    tuple
        The hourly values, NaN where no run reaches; and how many hours were told twice with
        different values, which become NaN because nobody can say which is right.
    """
    order = np.argsort(runs.first, kind="stable")
    first = np.minimum(np.maximum(runs.first[order] - start, 0), hours)
    end = np.minimum(np.maximum(runs.end[order] - start, 0), hours)
    value = runs.value[order]
    if bool((first[1:] < end[:-1]).any()):
        return _by_hour_with_overlap(first, end, value, hours)
    grid = np.full(hours, np.nan, dtype=np.float32)
    lengths = end - first
    before = np.cumsum(lengths) - lengths
    at = np.repeat(first - before, lengths) + np.arange(int(lengths.sum()))
    grid[at] = np.repeat(value, lengths)
    return grid, 0


def _by_hour_with_overlap(first: Whole, end: Whole, value: Real, hours: int) -> tuple[Hours, int]:
    grid = np.full(hours, np.nan)
    told = np.zeros(hours, dtype=bool)
    torn = np.zeros(hours, dtype=bool)
    for begin, stop, now in zip(first.tolist(), end.tolist(), value.tolist(), strict=True):
        before = grid[begin:stop]
        same = np.isclose(before, now, rtol=0, atol=1e-9, equal_nan=True)
        torn[begin:stop] |= told[begin:stop] & ~same
        told[begin:stop] = True
        grid[begin:stop] = now
    grid[torn] = np.nan
    return grid.astype(np.float32), int(torn.sum())
