"""A worker that is asked to stop, and one whose words nobody hears any more."""

import os
import signal
import time

import pytest

from storage.stores import open_stores
from tests.reliability.mill import START_UTC, TUESDAY, Mill
from tests.reliability.waiting import until


def settled(mill: Mill) -> bool:
    with open_stores("warmspell.sqlite3", mill.folder) as stores:
        return stores.runs.sent_on(TUESDAY) and not stores.deliveries.any_due(START_UTC)


@pytest.mark.fault("S18")
def test_a_worker_told_to_stop_finishes_the_message_under_way(mill):
    one = mill(12)
    one.room.slow_s = 0.3
    worker = one.zygote.start(**one.order("work"))
    until(one.room.connected.is_set)

    began = time.monotonic()
    os.kill(worker, signal.SIGTERM)
    assert one.zygote.wait(worker) == 0
    assert time.monotonic() - began < 10

    states = [row.state for row in one.rows()]
    assert "sending" not in states
    assert 0 < states.count("sent") < len(states)
    one.room.slow_s = 0.0
    assert one.run() == 0
    assert one.broken() == []
    assert max(len(copies) for copies in one.room.copies().values()) == 1


@pytest.mark.fault("S19")
def test_a_worker_nobody_listens_to_sends_all_the_same(mill):
    one = mill()
    worker = one.zygote.start(**one.order("work", deaf=True))
    until(lambda: settled(one))
    os.kill(worker, signal.SIGTERM)

    assert one.zygote.wait(worker) == 0
    assert one.broken() == []
