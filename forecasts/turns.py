"""Shares of a morning's time, for sources that are asked one after the other."""

import time
from collections.abc import Callable


class Turns:
    """A time that some sources share: one that does not answer leaves the others theirs.

    Parameters
    ----------
    time_s
        The time of all of them [s], counted from now on.
    monotonic
        The clock it is measured by.
    """

    def __init__(self, time_s: float, monotonic: Callable[[], float] = time.monotonic) -> None:
        self._monotonic = monotonic
        self._ends_s = monotonic() + time_s

    def next(self, left_frac: float) -> Callable[[], bool]:
        """What tells that the next turn, a share of the time that is left, is over.

        What one turn leaves is there for those after it. A turn of all that is left ends with the
        source's own time.
        """
        if left_frac >= 1:
            return lambda: False
        now_s = self._monotonic()
        until_s = now_s + left_frac * (self._ends_s - now_s)
        return lambda: self._monotonic() >= until_s
