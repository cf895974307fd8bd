"""Several machines that share one farm's database on a real PostgreSQL server."""

import json
import shutil
import signal
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from storage.delivery import Delivery
from storage.stores import open_stores
from tests.reliability.mill import START_UTC, TUESDAY, Mill
from tests.storage.real_server import the_server

#: Mornings in the long form and the short one.
MORNINGS = {True: 40, False: 2}
PATIENCE = {"ticks": 60, "pause_s": 0.1}


@dataclass
class Machines:
    """Machines, each with a folder and so a lock of its own, and what they share."""

    mills: tuple[Mill, ...]
    address: str

    @property
    def first(self) -> Mill:
        """Any of them, for what they share."""
        return self.mills[0]

    def together(self, on: date = TUESDAY, **more: object) -> list[int]:
        """Start them all at once; their exit codes."""
        # Six o'clock stays six o'clock when the clocks are changed.
        local = datetime.combine(on, time(6, 0, 5), ZoneInfo("America/Chicago"))
        moment = local.astimezone(UTC)
        started = [
            one.zygote.start(**one.order(at=moment, machine=f"m{n}", **PATIENCE, **more))
            for n, one in enumerate(self.mills)
        ]
        return [self.first.zygote.wait(one) for one in started]

    def rows(self, on: date = TUESDAY) -> tuple[Delivery, ...]:
        """The outbox of a day, alarms aside."""
        with open_stores(self.address, ".") as stores:
            rows = stores.deliveries.of_day(on)
        return tuple(row for row in rows if row.kind.startswith("morning-"))

    def copies(self) -> dict[str, int]:
        """How often each reader heard."""
        return {who: len(of_one) for who, of_one in self.first.room.copies().items()}


@pytest.fixture
def machines(mill: Callable[[], Mill]) -> Callable[[int], Machines]:
    def new(count: int) -> Machines:
        address = the_server().new_database().replace(":@", "@", 1)
        one = mill()
        config = one.folder / "farm.toml"
        text = config.read_text()
        config.write_text(text.replace('"warmspell.sqlite3"', f'"{address}"'))
        assert config.read_text() != text
        folders = [
            one.folder,
            *(one.folder.with_name(f"{one.folder.name}-m{n}") for n in range(1, count)),
        ]
        for folder in folders[1:]:
            shutil.copytree(one.folder, folder)
        return Machines(tuple(replace(one, folder=folder) for folder in folders), address)

    return new


@pytest.mark.fault("S05")
def test_machines_that_share_a_server_send_each_morning_once(machines, long, figure):
    shared, wrong = machines(4), {}
    for number in range(MORNINGS[long]):
        day = TUESDAY + timedelta(days=number)
        shared.first.room.clear()
        assert shared.together(day) == [0, 0, 0, 0], shared.first.log()
        if shared.copies() != dict.fromkeys(shared.first.wanted, 1):
            wrong[day] = shared.copies()
        assert {row.state for row in shared.rows(day)} == {"sent"}
    figure(
        f"{MORNINGS[long]} mornings, 4 machines on one PostgreSQL server: "
        f"{len(wrong)} with a repeat or a gap"
    )
    assert wrong == {}


@pytest.mark.fault("S05")
def test_on_a_server_the_key_alone_is_enough(machines):
    shared = machines(4)
    assert shared.together(without=["lock", "lease"]) == [0, 0, 0, 0]
    assert shared.copies() == dict.fromkeys(shared.first.wanted, 1)


@pytest.mark.fault("S01", "S02", "S03")
def test_a_machine_that_dies_at_any_point_leaves_the_rest_to_another(machines, long, figure):
    """After its lease has run out nobody is left out, and whatever came twice is flagged.

    Every point in the long form, four in the short one.
    """
    trail = machines(1)
    assert trail.first.run(trail=str(trail.first.folder / "trail.json")) == 0
    count = len(json.loads((trail.first.folder / "trail.json").read_bytes()))
    points = range(1, count + 1) if long else range(count // 8, count + 1, count // 4)
    killed, lost, silent = 0, [], []
    for point in points:
        shared = machines(2)
        dying, other = shared.mills
        killed += dying.run(point=point, mode="kill", machine="dies") == -signal.SIGKILL
        later = START_UTC + timedelta(minutes=16)
        assert other.run(at=later, machine="other", **PATIENCE) == 0

        copies, flagged = shared.copies(), {row.message_id for row in shared.rows() if row.in_doubt}
        lost += [who for who in shared.first.wanted if not copies.get(who)]
        for who, of_one in shared.first.room.copies().items():
            names = {name for name, _ in of_one}
            if len(names) > 1 or (len(of_one) > 1 and not names <= flagged):
                silent.append(who)
    figure(
        f"a machine killed at {killed} of {count} points on PostgreSQL: {len(lost)} lost, "
        f"{len(silent)} repeats that are not flagged"
    )
    assert (killed, lost, silent) == (len(points), [], [])
