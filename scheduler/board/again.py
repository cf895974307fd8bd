"""What was read from the database before, kept as long as nothing was added to it."""

import threading
from collections.abc import Callable
from typing import TypeVar

T = TypeVar("T")


class ReadAgain:
    """Keeps what was read last of each thing, with the mark it was read at.

    Who asks for what is being read waits for it: a big plan takes seconds, and after a morning
    everybody asks at once.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._reading: dict[str, threading.Lock] = {}
        self._kept: dict[str, tuple[object, object]] = {}

    def __call__(self, what: str, mark: object, read: Callable[[], T]) -> T:
        """What was read before, where nothing has changed what it is marked by."""
        with self._lock:
            reading = self._reading.setdefault(what, threading.Lock())
        with reading:
            kept = self._kept.get(what)
            if kept is None or kept[0] != mark:
                kept = self._kept[what] = (mark, read())
            return kept[1]  # type: ignore[return-value]
