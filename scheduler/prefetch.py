"""Forecasts fetched into the archive before the morning that needs them.

At the pace a service allows, some thousand cells take longer than a morning has; and a service
that is down at six but was up half an hour before need cost nobody the forecast. Ages count from
the issue all the same, so nothing here makes a forecast look newer than it is. What goes wrong
here is left to the morning, which asks for whatever was not fetched.
"""

import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler import exit_codes
from scheduler.due import AHEAD, SendTimes, ahead_due, starts_utc
from scheduler.worker_lock import AnotherWorkerError, lock_path, only_worker

if TYPE_CHECKING:
    from forecasts.fetch import FetchedForecast
    from scheduler.forecasts_at_work import ForecastsAtWork
    from scheduler.opening import OpenFarm

#: Share of time added to what all requests take at the pace that is set; judgement: answers are
#: slower than the pace, and some are asked for twice.
SAFETY = 1.5
#: Least and most time before the morning at which fetching begins; judgement. Outages of the US
#: service have lasted 10 to 15 minutes (weather-gov/api issue 19).
LEAST_LEAD, MOST_LEAD = timedelta(minutes=15), timedelta(hours=3)

#: Time between two looks at what cannot wait; that of the worker's own.
BETWEEN = timedelta(seconds=30)

log = logging.getLogger("warmspell.ahead")


class TimeIsUpError(Exception):
    """The morning is due, or the worker is to stop."""


@dataclass
class Prefetch:
    """Fetches a farm's forecasts ahead; ``clock`` tells the time, ``stop`` ends it.

    ``memory`` is what the mornings are then made with: it knows who was asked already.
    """

    farm: "OpenFarm"
    memory: "ForecastsAtWork"
    times: SendTimes
    clock: Callable[[], datetime]
    stop: threading.Event = field(default_factory=threading.Event)
    _not_before: datetime | None = None
    _lead: tuple[date, timedelta] | None = None

    def look(self, meanwhile: Callable[[], None]) -> None:
        """Fetch ahead if it is time to. Never raises: a morning can do without.

        ``meanwhile`` is done every half minute, for what cannot wait until all is fetched.
        """
        now = self.clock()
        try:
            local_date = self._due(now)
            if local_date is not None:
                lock = _lock_path(self.farm)
                with only_worker(lock):
                    self._fetch(local_date, now, meanwhile)
        except AnotherWorkerError:
            log.info("somebody else is fetching ahead for this farm")
        except TimeIsUpError as told:
            log.info("fetching ahead ended: %s", told)
        except Exception:
            log.exception("fetching ahead ended in an error; the morning asks for itself")
            self._try_again_later()

    def lead(self, now: datetime) -> timedelta:
        """How long before the morning fetching begins, so that all cells fit at the pace set."""
        today = now.astimezone(self.times.zone).date()
        if self._lead is None or self._lead[0] != today:
            per_second = self.farm.config.settings.forecast.requests_per_second
            takes = timedelta(seconds=SAFETY * self._requests() / per_second)
            self._lead = (today, min(MOST_LEAD, max(LEAST_LEAD, takes)))
        return self._lead[1]

    def _requests(self) -> int:
        """How many requests all cells take; a place whose cell is not known takes two."""
        known = self.farm.stores.forecasts.grid_cell
        cells = [known(one.latitude, one.longitude) for one in self.farm.config.fields]
        return len({one.id for one in cells if one is not None}) + 2 * cells.count(None)

    def _due(self, now: datetime) -> date | None:
        # The longest lead first, which asks the database nothing.
        if self.stop.is_set() or self._waiting(now):
            return None
        runs = self.farm.stores.runs
        if ahead_due(now, runs, self.times, MOST_LEAD) is None:
            return None
        return ahead_due(now, runs, self.times, self.lead(now))

    def _fetch(self, local_date: date, now: datetime, meanwhile: Callable[[], None]) -> None:
        runs, fields = self.farm.stores.runs, self.farm.config.fields
        ends = starts_utc(local_date, self.times)
        log.info(
            "fetching ahead for the morning of %s: %d fields, about %d requests, until %s at most",
            local_date,
            len(fields),
            self._requests(),
            ends.astimezone(self.times.zone).strftime("%H:%M"),
        )
        number = runs.begin(local_date, AHEAD, now)
        fetched = self._asked(now, ends, meanwhile)
        known, told = _told(fetched, len(fields))
        missing = exit_codes.SOME_UNKNOWN if fetched.any_known else exit_codes.NO_FORECAST
        code = exit_codes.OK if known else missing
        # Without an end where something is missing, so that the next try comes.
        runs.finish(number, code, self.clock(), sent=known)
        log.info("fetched ahead for the morning of %s: %s", local_date, told)
        if not known:
            self._try_again_later()

    def _asked(
        self, now: datetime, ends: datetime, meanwhile: Callable[[], None]
    ) -> "FetchedForecast":
        from forecasts.later_rounds import LaterRounds
        from scheduler.asking import ask, whom_to_ask

        looked = now

        def watch(done: int, steps: int) -> None:
            nonlocal looked
            if self.stop.is_set():
                raise TimeIsUpError(f"stopped after {done} of {steps} steps")
            if self.clock() >= ends:
                raise TimeIsUpError(f"the morning is due, {done} of {steps} steps are done")
            if not timedelta() <= self.clock() - looked < BETWEEN:
                looked = self.clock()
                meanwhile()

        settings = self.farm.config.settings.forecast
        time_s = max(1.0, (ends - now).total_seconds())
        settings = settings.model_copy(update={"total_deadline_s": time_s})
        # One round; what had no answer is asked for by the next try, which looks at the clock.
        once = LaterRounds(settings.model_copy(update={"total_deadline_s": 0.0}))
        self.memory.lately = self.lead(now)
        asking = whom_to_ask(self.farm.config, self.farm.stores, now)
        return ask(asking, settings, now, progress=watch, rounds=once)

    def _waiting(self, now: datetime) -> bool:
        pause = timedelta(seconds=self.farm.config.settings.forecast.ask_again_s)
        # A clock set back must not turn a pause of minutes into one of hours.
        return self._not_before is not None and timedelta() < self._not_before - now <= pause

    def _try_again_later(self) -> None:
        pause = timedelta(seconds=self.farm.config.settings.forecast.ask_again_s)
        self._not_before = self.clock() + pause


def _told(fetched: "FetchedForecast", fields: int) -> tuple[bool, str]:
    """Whether the newest forecast of every field is kept, and how it went in words."""
    problems = fetched.forecast.problem
    without = [problems[row] for row in fetched.row_of.values() if problems[row]]
    said = f"{fields - len(without)} of {fields} fields, {fetched.requests} requests"
    if not without:
        return True, said
    return False, f"{said}; {len(without)} without a new one ({without[0]}), asked for again"


def _lock_path(farm: "OpenFarm") -> Path:
    """Where the lock lies that is held while forecasts are fetched ahead."""
    named = farm.config.settings.farm.database
    return lock_path(farm.config.folder, named).with_suffix(".ahead-lock")
