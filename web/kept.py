"""What is made from a plan once, and kept while that plan is the newest."""

import threading
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

from dispatch.report import MorningReport

T = TypeVar("T")

#: Most things kept of one plan.
MOST = 200


class KeptByPlan(Generic[T]):
    """Things made from the newest plan, each by what was asked, and made once.

    Who asks for what is being made waits for it: after a new plan everybody asks at once.
    """

    def __init__(self, most: int = MOST) -> None:
        self._most = most
        self._lock = threading.Lock()
        self._report: MorningReport | None = None
        self._made: dict[Hashable, T] = {}
        self._making: dict[Hashable, threading.Lock] = {}

    def of(self, report: MorningReport, asked: Hashable, make: Callable[[], T]) -> T:
        """What was made for ``asked``, made now where it was not; another plan clears all."""
        with self._lock:
            if self._report is not report or len(self._made) >= self._most:
                self._report, self._made, self._making = report, {}, {}
            made = self._made
            making = self._making.setdefault(asked, threading.Lock())
        with making:
            if asked not in made:
                made[asked] = make()
            return made[asked]
