"""Several messages under way at once: each once, and a slow answer holds up nobody else."""

import threading

import pytest
from ledger import NOW, MemoryLedger, Row

from notify.channel import OutgoingMessage, Receipt
from notify.deliver import deliver

BOOK = {(f"p{n}", "mail"): f"p{n}@example.com" for n in range(40)}


class Slow:
    """Holds the message to p0 until all others went out."""

    def __init__(self, count: int) -> None:
        self.got: list[str] = []
        self.count, self.others_out = count, threading.Event()
        self.lock = threading.Lock()

    def send(self, message: OutgoingMessage) -> Receipt:
        if message.address.startswith("p0@"):
            assert self.others_out.wait(10), "one slow answer held up the others"
        with self.lock:
            self.got.append(message.address)
            if len(self.got) == self.count - 1:
                self.others_out.set()
        return Receipt()

    def close(self) -> None:
        pass


@pytest.mark.fault("M07")
def test_a_server_slow_to_answer_one_message_holds_up_no_other() -> None:
    book, server = MemoryLedger(*(Row(n, f"p{n}") for n in range(40))), Slow(40)

    told = deliver(book, {"mail": server}, NOW, "w", BOOK, lanes={"mail": 3})

    assert told.sent == 40
    assert sorted(server.got) == sorted(set(server.got))


def test_a_fault_of_the_outbox_in_one_lane_is_not_hidden() -> None:
    class Broken(MemoryLedger):
        def mark_sent(self, *_told: object) -> bool:
            raise OSError("no disk")

    book = Broken(*(Row(n, f"p{n}") for n in range(4)))

    with pytest.raises(OSError, match="no disk"):
        deliver(book, {"mail": Slow(99)}, NOW, "w", {("p1", "mail"): "p1@x"}, lanes={"mail": 2})
