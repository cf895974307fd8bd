"""Killed at random, again and again, with a real mail server: nobody is left out."""

import os
import random
import re
import signal
import threading
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from storage.stores import open_stores
from tests.reliability.mill import Mill

#: Readers of the farm; each gets a mail and every second one a text.
PEOPLE = 12
#: How long the server waits before its answer [s]; it widens the gap in which an answer is lost.
SLOW_S = 0.01
#: Kills in the long form and the short one.
KILLS = {True: 200, False: 8}


def set_clock(mill: Mill, day: date) -> None:
    """Let the farm's clock stand at 6:00:05 am of a day."""
    config = Path(mill.config)
    text = re.sub(r"(?m)^at = .*$", f"at = {day}T11:00:05Z", config.read_text())
    config.write_text(text)


def settle(mill: Mill, day: date) -> bool:
    """Whether the worker that runs has nothing left to do."""
    with open_stores("warmspell.sqlite3", mill.folder) as stores:
        moment = datetime.fromisoformat(f"{day}T11:00:05+00:00")
        return stores.runs.sent_on(day) and not stores.deliveries.any_due(moment)


@pytest.mark.fault("S01", "S02", "S03", "M05")
def test_nobody_is_left_out_and_every_repeat_is_flagged(mill, long, figure):
    """The real command, ended by SIGKILL at any moment, and started again."""
    one, chance = mill(PEOPLE), random.Random(11)
    one.room.slow_s = SLOW_S
    kills = repeats = days = 0
    day, broken, first_mail_s = date(2026, 10, 6), [], []
    while kills < KILLS[long]:
        set_clock(one, day)
        one.room.clear()
        days += 1
        while True:
            one.room.connected.clear()
            began = datetime.now().timestamp()
            worker = one.zygote.start(**one.order("work", lanes=True))
            # Half of the kills fall into the sending, the others anywhere.
            if chance.random() < 0.5 and one.room.connected.wait(3):
                first_mail_s.append(datetime.now().timestamp() - began)
                threading.Event().wait(chance.uniform(0, 0.15))
            else:
                threading.Event().wait(chance.uniform(0.05, 0.8))
            if kills >= KILLS[long] or settle(one, day):
                break
            os.kill(worker, signal.SIGKILL)
            assert one.zygote.wait(worker) == -signal.SIGKILL
            kills += 1
        deadline = datetime.now() + timedelta(seconds=30)
        while not settle(one, day) and datetime.now() < deadline:
            threading.Event().wait(0.05)
        os.kill(worker, signal.SIGTERM)
        assert one.zygote.wait(worker) == 0
        broken += [f"{day}: {told}" for told in one.broken(day)]
        repeats += sum(len(of_one) - 1 for of_one in one.room.copies().values())
        day += timedelta(days=1)
    told = (
        f"{kills} kills over {days} mornings of {len(one.wanted)} messages: "
        f"{len(broken)} broken, {repeats} repeats, all flagged; "
        f"start to first mail at most {max(first_mail_s, default=float('nan')):.2f} s"
    )
    figure(told)
    assert broken == []
    # On a busy machine every kill of the short form may come before the first mail.
    assert max(first_mail_s, default=0.0) <= 20


#: Visits in the long form and the short one, three at a time.
VISITS = {True: 10_000, False: 300}


@pytest.mark.fault("D05")
def test_no_acknowledged_visit_is_lost_under_kills(mill, long, figure):
    one, chance = mill(), random.Random(6)
    said, database = one.folder / "said.txt", str(one.folder / "warmspell.sqlite3")
    said.touch()
    kills = 0
    while len(said.read_text().split()) < VISITS[long]:
        order = one.order("scout", database=database, said=str(said), times=100_000)
        scout = one.zygote.start(**order)
        threading.Event().wait(chance.uniform(0.2, 1.0))
        os.kill(scout, signal.SIGKILL)
        one.zygote.wait(scout)
        kills += 1
    acknowledged = {line for line in said.read_text().split("\n") if len(line) == 36}
    with open_stores("warmspell.sqlite3", one.folder) as stores:
        kept = [str(visit.uuid) for visit in stores.visits.all() if visit.field_id == "f"]
    lost = acknowledged - set(kept)
    told = f"{len(acknowledged)} acknowledged visits under {kills} kills: {len(lost)} lost"
    figure(told)
    assert len(acknowledged) >= VISITS[long]
    assert lost == set()
    # All three of an import or none.
    assert len(kept) == len(set(kept))
    assert len(kept) % 3 == 0
