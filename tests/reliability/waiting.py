"""Waiting for what another process does."""

import time
from collections.abc import Callable


def until(what: Callable[[], bool], patience_s: float = 20.0) -> None:
    """Wait until something is so, and fail where it does not happen."""
    end = time.monotonic() + patience_s
    while not what():
        assert time.monotonic() < end, "it did not happen"
        time.sleep(0.02)
