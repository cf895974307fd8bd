"""One morning, whoever is at it: the lock, the lease and the key, each alone, and all together."""

import json
import os
import re
import signal
import sqlite3
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from tests.reliability.desk import CHICAGO
from tests.reliability.mill import START_UTC, TUESDAY, Mill
from tests.reliability.waiting import until

#: Mornings in the long form and the short one.
MORNINGS = {True: 100, False: 2}
#: Ticks of a worker that finds another at work, and the wait between them [s].
PATIENCE = {"ticks": 60, "pause_s": 0.1}
#: What is taken away so that one is left.
ALONE = {"lock": ["lease", "key"], "lease": ["lock", "key"], "key": ["lock", "lease"]}


def without_key(mill: Mill) -> None:
    """Take the key that makes a message the same message out of the database."""
    with closing(sqlite3.connect(mill.folder / "warmspell.sqlite3")) as connection:
        (sql,) = connection.execute(
            "SELECT sql FROM sqlite_master WHERE name = 'deliveries'"
        ).fetchone()
        bare = re.sub(r",\s*CONSTRAINT uq_deliveries\w+ UNIQUE \([^)]*\)", "", sql)
        assert bare != sql
        connection.executescript(f"DROP TABLE deliveries; {bare};")


def together(mill: Mill, workers: int, day: date = TUESDAY, **more: object) -> list[int]:
    """Start workers at once, on machines of their own where they are told so."""
    local = datetime.fromisoformat(f"{day}T06:00:05").replace(tzinfo=CHICAGO)
    moment = local.astimezone(UTC)
    machines = [f"machine-{n}" for n in range(workers)]
    started = [
        mill.zygote.start(**mill.order(at=moment, machine=name, **PATIENCE, **more))
        for name in machines
    ]
    return [mill.zygote.wait(one) for one in started]


def copies(mill: Mill) -> dict[str, int]:
    return {who: len(of_one) for who, of_one in mill.room.copies().items()}


@pytest.mark.fault("S05")
@pytest.mark.parametrize("left", ["lock", "lease", "key"])
def test_each_of_the_three_is_enough_alone(mill, left):
    one = mill()
    if "key" in ALONE[left]:
        without_key(one)

    codes = together(one, 4, without=ALONE[left])

    assert codes == [0, 0, 0, 0]
    assert copies(one) == dict.fromkeys(one.wanted, 1)
    assert len(one.rows()) == len(one.wanted)


@pytest.mark.fault("S05")
def test_without_all_three_everybody_hears_more_than_once(mill):
    """The tests above could fail."""
    one = mill()
    without_key(one)

    together(one, 4, without=["lock", "lease", "key"])

    assert max(copies(one).values()) > 1


@pytest.mark.fault("S05")
def test_up_to_eight_workers_send_each_morning_once(mill, long, figure):
    one, wrong = mill(), {}
    for number in range(MORNINGS[long]):
        day, workers = TUESDAY + timedelta(days=number), 8 - number % 7
        one.room.clear()
        together(one, workers, day)
        if copies(one) != dict.fromkeys(one.wanted, 1):
            wrong[day] = copies(one)
    told = f"{MORNINGS[long]} mornings, 2 to 8 workers at once: {len(wrong)} with a repeat or a gap"
    figure(told)
    assert wrong == {}


def is_stopped(pid: int) -> bool:
    return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] == "T"


@pytest.mark.fault("S06")
def test_a_worker_that_slept_past_its_lease_marks_and_sends_nothing_more(mill):
    """It is stopped in the middle of its second mail; another machine takes over meanwhile."""
    one = mill()
    other, trail = mill(), one.folder / "trail.json"
    assert other.run(trail=str(trail)) == 0
    names = json.loads(trail.read_bytes())
    mail_lines = [n for n, name in enumerate(names, start=1) if name == "before mail line"]
    one.room.clear()

    sleeper = one.zygote.start(**one.order(point=mail_lines[6], mode="stop", machine="a"))
    until(lambda: is_stopped(sleeper))
    before = sum(copies(one).values())
    # The lock of one machine says nothing on another.
    elsewhere = {"machine": "b", "without": ["lock"]}
    in_lease = one.run(at=START_UTC + timedelta(minutes=10), **elsewhere)
    untouched = sum(copies(one).values())
    took_over = one.run(at=START_UTC + timedelta(minutes=16), **elsewhere)
    after = copies(one)
    os.kill(sleeper, signal.SIGCONT)

    assert one.zygote.wait(sleeper) == 0
    assert (in_lease, took_over, untouched) == (0, 0, before)
    assert set(after) == one.wanted
    late = {who: count - after[who] for who, count in copies(one).items() if count > after[who]}
    # The one mail under way when it fell asleep goes on its way; no other does.
    assert sum(late.values()) <= 1
    assert one.broken() == []


@pytest.mark.fault("S05")
def test_a_morning_by_hand_while_the_worker_sends_ends_with_75(mill):
    one = mill()
    sleeper = one.zygote.start(**one.order(point=30, mode="stop"))
    until(lambda: is_stopped(sleeper))

    code = one.zygote.run(**one.order("morning", more=[]))

    os.kill(sleeper, signal.SIGCONT)
    assert one.zygote.wait(sleeper) == 0
    assert "another worker runs for this farm" in one.log()
    assert code == 75
