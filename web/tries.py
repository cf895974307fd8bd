"""How often somebody may try: a few times at once, then slowly. Kept in this process."""

import threading
from collections import OrderedDict
from datetime import datetime, timedelta


class Tries:
    """Tries by name: ``most`` within ``within``, after which each must wait.

    Only who tries too often waits; nobody can lock others out. At most ``held`` names are kept,
    the longest silent forgotten first.
    """

    def __init__(self, most: int, within: timedelta, held: int = 10_000) -> None:
        self._most, self._within, self._held = most, within, held
        self._seen: OrderedDict[str, list[datetime]] = OrderedDict()
        self._lock = threading.Lock()

    def may(self, name: str, now: datetime) -> bool:
        """Whether one more try is fine; it is counted."""
        with self._lock:
            recent = [one for one in self._seen.pop(name, []) if now - one < self._within]
            allowed = len(recent) < self._most
            if allowed:
                recent.append(now)
            self._seen[name] = recent
            while len(self._seen) > self._held:
                self._seen.popitem(last=False)
            return allowed

    def spent(self, name: str, now: datetime) -> bool:
        """Whether no try is left; nothing is counted."""
        with self._lock:
            recent = [one for one in self._seen.get(name, []) if now - one < self._within]
            return len(recent) >= self._most

    def forget(self, name: str) -> None:
        """Count no more what was tried; the right answer was given."""
        with self._lock:
            self._seen.pop(name, None)
