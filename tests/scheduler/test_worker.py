"""The worker: once a day whatever happens, and never two at once."""

import logging
import threading
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import pytest

from config.settings import Watch
from farm.message import PlannedMessage
from notify.channel import DeliveryError, Receipt
from notify.deliver import DeliverySummary, deliver
from notify.settings import Secrets
from scheduler.due import SendTimes
from scheduler.outbox_at_work import OutboxAtWork
from scheduler.worker import Stopping, Worker, clock_went_back
from scheduler.worker_lock import AnotherWorkerError, lock_path, only_worker
from scheduler.worker_name import worker_name
from storage.lease_store import LeaseStore
from storage.stores import open_stores

CHICAGO = ZoneInfo("America/Chicago")
TIMES = SendTimes(CHICAGO, time(6), time(6, 45), time(12))
TUESDAY = date(2026, 10, 6)


@dataclass(frozen=True)
class Farm:
    """What of an open farm a worker needs."""

    stores: object
    now: datetime | None = None
    past: bool = False
    config: object = field(
        default_factory=lambda: SimpleNamespace(
            settings=SimpleNamespace(people=(), watch=Watch()), secrets=Secrets()
        )
    )


class Clock:
    """A clock the test sets."""

    def __init__(self, text: str) -> None:
        self.set(text)

    def set(self, text: str) -> None:
        self.now = datetime.fromisoformat(text).replace(tzinfo=CHICAGO).astimezone(UTC)

    def __call__(self) -> datetime:
        return self.now


class Mornings:
    """Stands for carrying out a morning: counts, and fails where it is told to."""

    def __init__(self, stores) -> None:
        self.stores, self.ran, self.faults, self.late = stores, [], [], []
        self.looked = []

    def __call__(self, farm, channels, worker, local_date, progress, *, late=False, **told):
        kind = told.get("kind", "morning")
        if kind == "morning":
            self.late.append(late)
            self.ran.append((local_date, farm.now))
        else:
            self.looked.append((kind, farm.now.astimezone(CHICAGO).time()))
        progress(0, 1)
        if self.faults:
            raise self.faults.pop(0)
        number = self.stores.runs.begin(local_date, kind, farm.now)
        self.stores.runs.finish(number, 0, farm.now, sent=True)
        return SimpleNamespace(
            delivery=DeliverySummary(sent=2),
            exit_code=0,
            run=SimpleNamespace(digests=(), damaged=(), refusal=""),
        )


@pytest.fixture
def stores(tmp_path):
    with open_stores("farm.sqlite3", tmp_path) as opened:
        yield opened


@pytest.fixture
def clock():
    return Clock("2026-10-06T05:59:45")


@pytest.fixture
def mornings(stores):
    return Mornings(stores)


@pytest.fixture
def worker(stores, clock, mornings):
    return Worker(Farm(stores), {}, "me", TIMES, clock, carry_out=mornings)


def test_a_day_of_ticks_runs_one_morning(worker, clock, mornings):
    for _ in range(6 * 60 * 2):
        worker.tick()
        clock.now += timedelta(seconds=30)
    assert [day for day, _ in mornings.ran] == [TUESDAY]
    assert mornings.ran[0][1].astimezone(CHICAGO).time() == time(6, 0, 15)


def test_a_morning_is_looked_at_again_after_three_and_six_hours(worker, clock, mornings):
    for _ in range(24 * 60 * 2):
        worker.tick()
        clock.now += timedelta(seconds=30)
    assert [day for day, _ in mornings.ran] == [TUESDAY]
    assert mornings.looked == [("again-3h", time(9, 0, 15)), ("again-6h", time(12, 0, 15))]


def test_a_look_that_fails_is_left_out_and_the_morning_stands(worker, clock, mornings, stores):
    clock.set("2026-10-06T06:00:10")
    worker.tick()
    mornings.faults = [RuntimeError("no forecast source")]
    clock.set("2026-10-06T09:00:10")
    for _ in range(30):
        worker.tick()
        clock.now += timedelta(seconds=30)
    assert len(mornings.ran) == len(mornings.looked) == 1
    assert stores.runs.sent_on(TUESDAY)


def test_a_restart_or_a_clock_set_back_does_not_run_it_again(worker, clock, mornings, stores):
    clock.set("2026-10-06T06:00:10")
    worker.tick()
    again = Worker(Farm(stores), {}, "other", TIMES, clock, carry_out=mornings)
    for moment in ("2026-10-06T06:00:40", "2026-10-06T05:30", "2026-10-06T11:59"):
        clock.set(moment)
        again.tick()
    assert len(mornings.ran) == 1


def test_a_late_start_catches_up_and_says_it_is_late(worker, clock, mornings, caplog):
    clock.set("2026-10-06T09:02")
    with caplog.at_level(logging.INFO, "warmspell.worker"):
        worker.tick()
    assert len(mornings.ran) == 1
    assert "morning of 2026-10-06 begins, late" in caplog.text
    assert mornings.late == [True]


def test_a_missed_morning_is_recorded_once_with_an_alarm(worker, clock, mornings, stores, caplog):
    for moment in ("2026-10-06T13:00", "2026-10-06T13:00:30", "2026-10-06T20:00"):
        clock.set(moment)
        worker.tick()
    assert mornings.ran == []
    assert stores.runs.missed_on(TUESDAY)
    assert [one.levelname for one in caplog.records] == ["ERROR"]
    assert "ALARM: the morning of 2026-10-06 was missed" in caplog.text


def test_a_morning_that_fails_is_tried_again_after_a_pause_that_grows(
    worker, clock, mornings, caplog
):
    mornings.faults = [RuntimeError("no disk"), RuntimeError("no disk"), RuntimeError("no disk")]
    clock.set("2026-10-06T06:00")
    for _ in range(60):
        worker.tick()
        clock.now += timedelta(seconds=30)
    waits = [
        (later - earlier).total_seconds()
        for (_, earlier), (_, later) in zip(mornings.ran, mornings.ran[1:], strict=False)
    ]
    assert waits == [60, 120, 240]
    assert "no disk" in caplog.text


def test_a_pause_does_not_outlive_a_clock_set_back(worker, clock, mornings):
    mornings.faults = [RuntimeError("no disk")]
    clock.set("2026-10-06T11:00")
    worker.tick()
    clock.set("2026-10-06T07:00")
    worker.tick()
    assert len(mornings.ran) == 2


def test_a_worker_asked_to_stop_leaves_the_morning_for_the_next_start(
    worker, clock, mornings, stores
):
    clock.set("2026-10-06T06:00")

    def interrupted(farm, channels, name, local_date, progress, **told):
        worker.stop.set()
        progress(3, 10)
        raise AssertionError("went on after it was asked to stop")

    worker.carry_out = interrupted
    worker.tick()
    assert not stores.runs.sent_on(TUESDAY)
    worker.tick()
    next_start = Worker(Farm(stores), {}, "next", TIMES, clock, carry_out=mornings)
    next_start.tick()
    assert len(mornings.ran) == 1


def test_a_wish_to_stop_says_how_far_it_was(worker):
    worker.stop.set()
    with pytest.raises(Stopping, match="after 3 of 10 steps"):
        worker._watch(3, 10)


def _message(person: str) -> PlannedMessage:
    return PlannedMessage(
        person_id=person,
        local_date=TUESDAY,
        kind="morning-mail",
        revision=0,
        channel="mail",
        address=f"{person}@example.com",
        message_id=f"<{person}@example.com>",
        subject="Tue 6 Oct",
        body=b"text",
    )


class Mailbox:
    """A channel that keeps what it is given; ``after`` is called after each message."""

    def __init__(self, after=lambda: None, fails: int = 0) -> None:
        self.got, self.after, self.fails = [], after, fails

    def send(self, message):
        if self.fails:
            self.fails -= 1
            raise DeliveryError("mail server: not now")
        self.got.append(message.address)
        self.after()
        return Receipt()

    def close(self) -> None:
        pass


def test_what_could_not_be_handed_over_is_tried_again_in_later_ticks(stores, clock, mornings):
    people = tuple(SimpleNamespace(id=one, email=f"{one}@example.com", phone=None) for one in "ab")
    settings = SimpleNamespace(people=people, watch=Watch())
    config = SimpleNamespace(settings=settings, secrets=Secrets())
    box = Mailbox(fails=1)
    worker = Worker(
        Farm(stores, config=config), {"mail": box}, "me", TIMES, clock, carry_out=mornings
    )
    clock.set("2026-10-06T06:10")
    worker.tick()
    stores.deliveries.plan([_message("a"), _message("b")], clock())
    for _ in range(20):
        worker.tick()
        clock.now += timedelta(seconds=30)
    assert sorted(box.got) == ["a@example.com", "b@example.com"]


def test_a_stop_finishes_the_message_under_way_and_keeps_the_others(stores, clock):
    stop = threading.Event()
    outbox = OutboxAtWork(stores.database, stop)
    LeaseStore(stores.database).take("morning", "me", "den", clock(), 900)
    outbox.plan([_message(one) for one in "abc"], clock())
    box = Mailbox(after=stop.set)
    addresses = {(one, "mail"): f"{one}@example.com" for one in "abc"}
    told = deliver(outbox, {"mail": box}, clock(), "me", addresses)
    assert (told.sent, box.got) == (1, ["a@example.com"])
    assert [row.state for row in stores.deliveries.of_day(TUESDAY)] == [
        "sent",
        "pending",
        "pending",
    ]


def test_two_workers_cannot_hold_one_lock(tmp_path):
    path = lock_path(tmp_path, "farm.sqlite3")
    with (
        only_worker(path),
        pytest.raises(AnotherWorkerError, match="another worker runs for this farm"),
        only_worker(path),
    ):
        pass
    with only_worker(path):
        pass


def test_the_lock_of_a_shared_database_lies_beside_the_config(tmp_path):
    assert lock_path(tmp_path, "postgresql://host/farm").parent == tmp_path
    assert lock_path(tmp_path, "data/farm.sqlite3") == tmp_path / "data" / "farm.worker-lock"


def test_a_worker_is_never_named_twice():
    assert worker_name() != worker_name()


@pytest.mark.parametrize(
    ("ahead_s", "wanted"), [(-5, False), (30, False), (60, False), (90, True), (86_400, True)]
)
def test_a_tick_far_ahead_means_the_clock_was_set_back(ahead_s, wanted):
    now = datetime(2026, 10, 6, 11, tzinfo=UTC)
    assert clock_went_back(now + timedelta(seconds=ahead_s), now) is wanted
