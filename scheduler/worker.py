"""The worker: every half minute it asks what is due, does it, and hands over what still waits.

APScheduler only ticks. What to do is decided by `scheduler.due`, what was done stands in the
database, so a worker that was killed, late, or asleep goes on where things stand.
"""

import logging
import threading
from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from notify.breaker import Breaker
from notify.deliver import DeliverySummary
from scheduler import exit_codes
from scheduler.alarm import raise_alarm
from scheduler.due import (
    LookAgain,
    Missed,
    Nothing,
    RunNow,
    SendTimes,
    due,
    look_due,
    past_deadline,
)
from scheduler.hand_over import hand_over
from scheduler.messages import unwritten
from scheduler.one_morning import KIND, Morning, carry_out
from scheduler.spare_room import SpareRoom
from scheduler.watch import Watch
from scheduler.worker_lock import AnotherWorkerError
from storage.errors import StorageError

if TYPE_CHECKING:
    from notify.channel import Channel
    from scheduler.opening import OpenFarm

#: Time between two looks at the clock [s].
TICK_S = 30
#: Longest pause after mornings that ended in an error [s].
LONGEST_PAUSE_S = 900

log = logging.getLogger("warmspell.worker")


class Stopping(Exception):
    """The worker was asked to stop while it was at work."""


def _nothing_ahead(meanwhile: Callable[[], None]) -> None:
    """Fetch nothing ahead."""


@dataclass
class Worker:
    """One farm's worker. ``clock`` tells the time, ``stop`` is set to end it.

    ``alone`` is held around whatever is done; it raises `AnotherWorkerError` while somebody else
    is at it, and the next tick tries again. ``ahead`` fetches forecasts before their morning, and
    calls what it is given from time to time; it never raises.
    """

    farm: "OpenFarm"
    channels: "Mapping[str, Channel]"
    name: str
    times: SendTimes
    clock: Callable[[], datetime]
    stop: threading.Event = field(default_factory=threading.Event)
    carry_out: Callable[..., Morning] = carry_out
    alone: Callable[[], AbstractContextManager[None]] = nullcontext
    breaker: Breaker = field(default_factory=Breaker)
    watch: Watch = field(default_factory=Watch)
    ahead: Callable[[Callable[[], None]], None] = _nothing_ahead
    spare: SpareRoom = field(default_factory=lambda: SpareRoom(None))
    _failures: int = 0
    _not_before: datetime | None = None
    _counted_on: date | None = None
    _alarmed: set[tuple[str, date]] = field(default_factory=set)

    def tick(self) -> None:
        """Do what is due. Never raises: what goes wrong is logged and the next tick tries again."""
        if self.stop.is_set():
            return
        self.spare.take()
        self._do_due()
        self.ahead(self._do_due)

    def _do_due(self) -> None:
        try:
            if self._anything_due(self.clock()):
                with self.alone():
                    self._at_work()
        except AnotherWorkerError as told:
            log.info("%s", told)
        except StorageError as fault:
            log.exception("this tick ended in an error; the next one tries again")
            self._make_room(fault)
        except Exception:
            log.exception("this tick ended in an error; the next one tries again")
        self.watch.look(replace(self.farm, now=self.clock()))

    def _anything_due(self, now: datetime) -> bool:
        stores = self.farm.stores
        return (
            not isinstance(due(now, stores.runs, self.times), Nothing)
            or look_due(now, stores.runs, self.times) is not None
            or self._to_be_counted(now)
            or (bool(self.channels) and stores.deliveries.any_due(now))
        )

    def _at_work(self) -> None:
        # What a killed worker left goes first: it is older, and it is written already.
        self._waiting(self.clock())
        try:
            self._morning(self.clock())
            self._look(self.clock())
        except Stopping:
            log.info("stopped before the morning was decided; the next start takes it up")
        except Exception:
            self._pause(self.clock())
        self._count(self.clock())
        self._waiting(self.clock())

    def _morning(self, now: datetime) -> None:
        decision = due(now, self.farm.stores.runs, self.times)
        if isinstance(decision, Missed):
            self._give_up(decision.local_date, now)
        elif isinstance(decision, RunNow) and not self._pausing(now):
            self._run(decision.local_date, now, late=decision.late)

    def _give_up(self, local_date: date, now: datetime) -> None:
        said = (
            f"the morning of {local_date} was missed: it is past {self.times.late_until:%H:%M}; "
            "nothing was sent, tell people yourself"
        )
        with self.farm.stores.database.write():
            self.farm.stores.runs.give_up(local_date, now, KIND)
            self._alarm("missed", [said], local_date, now)

    def _run(self, local_date: date, now: datetime, *, late: bool) -> None:
        log.info("morning of %s begins%s", local_date, ", late" if late else "")
        done = self._carried_out(local_date, now, late=late)
        self._failures, self._not_before = 0, None
        log.info(
            "morning of %s done: %d sent, %d failed, %d waiting, exit code %d",
            local_date,
            done.delivery.sent,
            done.delivery.failed,
            done.delivery.pending,
            done.exit_code,
        )
        # The outbox holds these as messages to operators already.
        told = (*unwritten(done.run), *done.run.damaged, done.run.refusal, done.run.clock.alarm)
        for fault in told:
            if fault:
                log.error("ALARM: %s", fault)
        self._note(done.delivery, now)

    def _look(self, now: datetime) -> None:
        look = look_due(now, self.farm.stores.runs, self.times)
        if look is None:
            return
        try:
            self._note(self._carried_out(look.local_date, now, kind=look.kind).delivery, now)
        except Stopping:
            raise
        # The morning stands; a look that fails must not be tried twice a minute.
        except Exception:
            log.exception("the look at the morning ended in an error; it is left out")
            self._settle(look, now)

    def _settle(self, look: LookAgain, now: datetime) -> None:
        runs = self.farm.stores.runs
        number = runs.begin(look.local_date, look.kind, now)
        runs.finish(number, exit_codes.INTERNAL, now, sent=True)

    def _carried_out(self, local_date: date, now: datetime, **told: object) -> Morning:
        return self.carry_out(
            replace(self.farm, now=now),
            self.channels,
            self.name,
            local_date,
            self._watch,
            clock=self.clock,
            breaker=self.breaker,
            **told,
        )

    def _to_be_counted(self, now: datetime) -> bool:
        """Whether today's deadline has passed and nobody has counted whom it did not reach."""
        today = now.astimezone(self.times.zone).date()
        return (
            self._counted_on != today
            and past_deadline(today, now, self.times)
            and self.farm.stores.runs.sent_on(today)
        )

    def _count(self, now: datetime) -> None:
        if not self._to_be_counted(now):
            return
        today = now.astimezone(self.times.zone).date()
        missing = self.farm.stores.deliveries.unsent(today, KIND)
        if missing and self.channels:
            said = f"{len(missing)} of this morning's messages were not handed over by the deadline"
            whom = (
                f"{one.channel} to {one.person_id}: {one.error or 'not tried yet'}"
                + (" (may have arrived)" if one.in_doubt else "")
                for one in missing
            )
            self._alarm("undelivered", [said, *whom], today, now)
        self._counted_on = today

    def _waiting(self, now: datetime) -> None:
        if self.stop.is_set() or not self.channels:
            return
        try:
            stores = self.farm.stores
            if not stores.deliveries.any_due(now):
                return
            people = self.farm.config.settings.people
            told = hand_over(
                stores, self.channels, people, self.times, self.name, self.clock, self.breaker
            )
            log.info("handed over what waited: %d sent, %d failed", told.sent, told.failed)
            self._note(told, now)
        except StorageError as fault:
            log.exception("handing over what waits ended in an error; the next tick tries again")
            self._make_room(fault)
        except Exception:
            log.exception("handing over what waits ended in an error; the next tick tries again")

    def _make_room(self, fault: StorageError) -> None:
        """Give up the room held in reserve, so that what is queued can be kept as sent."""
        if fault.busy or not self.spare.give_up():
            return
        said = (
            "the database could not be written, and the room held in reserve was given up for "
            "what is queued; look at the disk, there is no more"
        )
        now = self.clock()
        try:
            self._alarm("disk", [said], now.astimezone(self.times.zone).date(), now)
        except StorageError:
            log.exception("the alarm could not be kept either")

    def _note(self, told: DeliverySummary, now: datetime) -> None:
        for note in told.notes:
            log.warning("%s", note)
        today = now.astimezone(self.times.zone).date()
        for channel, note in zip(told.stopped, told.notes, strict=False):
            self._alarm(f"{channel}-stopped", [note], today, now)

    def _alarm(self, topic: str, lines: list[str], local_date: date, now: datetime) -> None:
        if (topic, local_date) in self._alarmed:
            return
        raise_alarm(topic, lines, self.farm.config, self.farm.stores, local_date, now)
        self._alarmed.add((topic, local_date))

    def _watch(self, done: int, steps: int) -> None:
        if self.stop.is_set():
            raise Stopping(f"after {done} of {steps} steps")

    def _pausing(self, now: datetime) -> bool:
        # A clock set back must not turn a pause of minutes into one of hours.
        if self._not_before is None or now >= self._not_before:
            return False
        return self._not_before - now <= timedelta(seconds=LONGEST_PAUSE_S)

    def _pause(self, now: datetime) -> None:
        self._failures += 1
        pause_s = min(TICK_S * 2**self._failures, LONGEST_PAUSE_S)
        self._not_before = now + timedelta(seconds=pause_s)
        log.exception("the morning ended in an error; next try in %d s", pause_s)
        self._alarm_if_overdue(self.clock())

    def _alarm_if_overdue(self, now: datetime) -> None:
        today = now.astimezone(self.times.zone).date()
        if not past_deadline(today, now, self.times) or self.farm.stores.runs.sent_on(today):
            return
        said = f"the morning of {today} ends in an error each time; nobody has been told yet"
        try:
            self._alarm("failing", [said], today, now)
        except Exception:
            log.exception("the alarm could not be kept either")


def clock_went_back(next_tick_utc: datetime, now: datetime) -> bool:
    """Whether the next tick lies so far ahead that the clock must have been set back."""
    return next_tick_utc - now > timedelta(seconds=2 * TICK_S)


def keep_ticking(worker: Worker) -> None:
    """Tick until the worker is stopped; a tick under way is let finish."""
    from apscheduler.schedulers.background import BackgroundScheduler
    from apscheduler.triggers.interval import IntervalTrigger

    # It would say twice a minute that a tick is left out while a longer one is under way.
    logging.getLogger("apscheduler").setLevel(logging.ERROR)
    scheduler = BackgroundScheduler(
        timezone="UTC",
        job_defaults={"coalesce": True, "max_instances": 1, "misfire_grace_time": None},
    )
    job = scheduler.add_job(
        worker.tick,
        IntervalTrigger(seconds=TICK_S, timezone="UTC"),
        id="tick",
        next_run_time=worker.clock(),
    )
    scheduler.start()
    try:
        while not worker.stop.wait(TICK_S):
            # The scheduler waits for a moment on the wall clock; set back, that would be hours.
            if clock_went_back(job.next_run_time, worker.clock()):
                log.warning("the clock was set back; ticking on")
                job.modify(next_run_time=worker.clock())
    finally:
        scheduler.shutdown(wait=True)
