"""A database that several looks share."""

import threading
from types import SimpleNamespace

from storage.looked_at import OpenedOnce


def test_closing_does_not_wait_for_an_opening_that_hangs():
    begun, answered = threading.Event(), threading.Event()

    def hangs():
        begun.set()
        answered.wait(20)
        return SimpleNamespace(close=lambda: None)

    opened = OpenedOnce(hangs)
    look = threading.Thread(target=opened)
    closing = threading.Thread(target=opened.close)
    look.start()
    assert begun.wait(5)
    closing.start()
    closing.join(5)
    waits = closing.is_alive()
    answered.set()
    look.join()
    closing.join()

    assert not waits
