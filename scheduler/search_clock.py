"""The time a search has, and the line that says how far it is."""

import math
import sys
import time
from typing import TextIO

from dispatch.words import amount
from scheduler.speaking import talk

#: Time between two looks of the line [s].
LOOK_S = 0.5

#: Steps without a better plan after which a search ends before its time, for each field. Judgement:
#: a handful of fields are planned at once, hundreds use all the time they are given.
PATIENCE_STEPS_A_FIELD = 1_000


class SearchClock:
    """Says whether a search may go on, and keeps one line on a terminal meanwhile."""

    def __init__(self, allowed_s: float, fields: int, stream: TextIO | None = None) -> None:
        self._stream = stream or sys.stderr
        self._patience_steps = PATIENCE_STEPS_A_FIELD * max(1, fields)
        self._best_ac, self._since_steps = -math.inf, 0
        self._shown = self._stream.isatty()
        self._began_s = time.monotonic()
        self._allowed_s = allowed_s
        self._next_s = 0.0

    def __call__(self, gain_ac: float) -> bool:
        """Whether to go on; ``gain_ac`` is what the best plan so far brings."""
        passed_s = time.monotonic() - self._began_s
        if self._shown and passed_s >= self._next_s:
            self._next_s = passed_s + LOOK_S
            self._stream.write(
                f"\rsearching, {passed_s:.0f} of {self._allowed_s:.0f} s: "
                f"{gain_ac:,.0f} acres at full effect "
            )
            self._stream.flush()
        self._since_steps = 0 if gain_ac > self._best_ac else self._since_steps + 1
        self._best_ac = max(self._best_ac, gain_ac)
        return passed_s < self._allowed_s and self._since_steps <= self._patience_steps

    def close(self) -> None:
        """End the line."""
        if self._shown and self._next_s:
            self._stream.write("\n")
            self._stream.flush()


def told_before(allowed_s: float, plans: int) -> None:
    """One line before the search, for a log or a pipe."""
    more = f" {plans} times" if plans > 1 else ""
    talk(f"Searching for the best plan{more}, {amount(allowed_s)} s ...")
