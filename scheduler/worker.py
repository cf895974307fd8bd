"""The worker: every half minute it asks what is due, does it, and hands over what still waits.

APScheduler only ticks. What to do is decided by `scheduler.due`, what was done stands in the
database, so a worker that was killed, late, or asleep goes on where things stand.
"""

import logging
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from notify.deliver import DeliverySummary, deliver
from notify.outbox import address_book
from scheduler.due import Missed, RunNow, SendTimes, due
from scheduler.one_morning import KIND, Morning, carry_out, unwritten

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


@dataclass
class Worker:
    """One farm's worker. ``clock`` tells the time, ``stop`` is set to end it."""

    farm: "OpenFarm"
    channels: "Mapping[str, Channel]"
    name: str
    times: SendTimes
    clock: Callable[[], datetime]
    stop: threading.Event = field(default_factory=threading.Event)
    carry_out: Callable[..., Morning] = carry_out
    _failures: int = 0
    _not_before: datetime | None = None

    def tick(self) -> None:
        """Do what is due. Never raises: what goes wrong is logged and the next tick tries again."""
        if self.stop.is_set():
            return
        try:
            self._morning(self.clock())
        except Stopping:
            log.info("stopped before the morning was decided; the next start takes it up")
        except Exception:
            self._pause(self.clock())
        try:
            self._waiting(self.clock())
        except Exception:
            log.exception("handing over what waits ended in an error; the next tick tries again")

    def _morning(self, now: datetime) -> None:
        decision = due(now, self.farm.stores.runs, self.times)
        if isinstance(decision, Missed):
            self.farm.stores.runs.give_up(decision.local_date, now, KIND)
            log.error(
                "ALARM: the morning of %s was missed: it is past %s; nothing was sent, "
                "tell people yourself",
                decision.local_date,
                f"{self.times.late_until:%H:%M}",
            )
        elif isinstance(decision, RunNow) and not self._pausing(now):
            self._run(decision.local_date, now, late=decision.late)

    def _run(self, local_date: date, now: datetime, *, late: bool) -> None:
        log.info("morning of %s begins%s", local_date, ", late" if late else "")
        done = self.carry_out(
            replace(self.farm, now=now),
            self.channels,
            self.name,
            local_date,
            self._watch,
            late=late,
        )
        self._failures, self._not_before = 0, None
        log.info(
            "morning of %s done: %d sent, %d failed, %d waiting, exit code %d",
            local_date,
            done.delivery.sent,
            done.delivery.failed,
            done.delivery.pending,
            done.exit_code,
        )
        for fault in unwritten(done.run):
            log.error("ALARM: %s", fault)
        if done.run.refusal:
            log.error("ALARM: %s", done.run.refusal)
        _note(done.delivery)

    def _waiting(self, now: datetime) -> None:
        outbox = self.farm.stores.deliveries
        if self.stop.is_set() or not self.channels or not outbox.due(now):
            return
        addresses = address_book(self.farm.config.settings.people)
        told = deliver(outbox, self.channels, now, self.name, addresses)
        log.info("handed over what waited: %d sent, %d failed", told.sent, told.failed)
        _note(told)

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


def _note(told: DeliverySummary) -> None:
    for note in told.notes:
        log.warning("%s", note)


def clock_went_back(next_tick_utc: datetime, now: datetime) -> bool:
    """Whether the next tick lies so far ahead that the clock must have been set back."""
    return next_tick_utc - now > timedelta(seconds=2 * TICK_S)


def keep_ticking(worker: Worker) -> None:
    """Tick until the worker is stopped; a tick under way is let finish."""
    from apscheduler.schedulers.background import BackgroundScheduler
    from apscheduler.triggers.interval import IntervalTrigger

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
