"""One whole morning, recorded: decide, keep, send, and what to exit with."""

import logging
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from dispatch.report import Call, MorningReport
from scheduler import exit_codes
from scheduler.clock import going_on_from
from scheduler.clock_kept import keep_judged
from scheduler.due import deadline_utc
from scheduler.hand_over import send_times
from scheduler.messages import unwritten
from scheduler.morning import MorningRun, Progress, decide_morning, send_morning
from scheduler.rigs_of_morning import rig_planner

if TYPE_CHECKING:
    from notify.breaker import Breaker
    from notify.channel import Channel
    from notify.deliver import DeliverySummary
    from scheduler.opening import OpenFarm

KIND = "morning"

log = logging.getLogger("warmspell.morning")


@dataclass(frozen=True)
class Morning:
    """A morning that was carried out. ``delivery`` is what was sent; ``again`` marks a second
    morning of the same local date, which sends nothing that was sent before. ``unsent`` counts
    the day's digests that have not reached their readers, whichever run tried them last.
    """

    run: MorningRun
    delivery: "DeliverySummary"
    exit_code: int
    again: bool
    unsent: int = 0


def decided_code(run: MorningRun) -> int:
    """The exit code of a morning as decided, sending aside."""
    return exit_codes.worst(
        [
            exit_codes.CONFIG if run.refusal or run.clock.stop else exit_codes.OK,
            exit_codes.INTERNAL if unwritten(run) else exit_codes.OK,
            exit_codes.NO_FORECAST if run.no_forecast else exit_codes.OK,
            exit_codes.SOME_UNKNOWN if unknown_fields(run.report) else exit_codes.OK,
        ]
    )


def unknown_fields(report: MorningReport) -> int:
    """How many fields have no call."""
    return report.run.counts.get(Call.UNKNOWN, 0)


def delivered_code(delivery: "DeliverySummary") -> int:
    """The exit code of what was sent."""
    missing = delivery.failed + delivery.pending + delivery.in_doubt
    return exit_codes.worst(
        [
            exit_codes.CONFIG if delivery.config_fault else exit_codes.OK,
            exit_codes.SOME_UNDELIVERED if missing else exit_codes.OK,
        ]
    )


def carry_out(
    farm: "OpenFarm",
    channels: Mapping[str, "Channel"],
    worker: str,
    local_date: date,
    progress: Progress | None = None,
    *,
    late: bool = False,
    kind: str = KIND,
    clock: Callable[[], datetime] | None = None,
    breaker: "Breaker | None" = None,
    asked_for: bool = False,
) -> Morning:
    """Decide the morning of ``local_date``, keep it, send it, and record the run.

    A run that ends in an error leaves no end in the run log, so that the worker tries again. A
    run of another ``kind`` is a second look, which sends nothing but a correction. Where the time
    was ``asked_for``, it is not this machine's clock that tells it.
    """
    stores, now = farm.stores, farm.now
    again = stores.runs.sent_on(local_date, KIND)
    number = stores.runs.begin(local_date, kind, now)
    clock = clock or going_on_from(now)
    deadline = deadline_utc(local_date, send_times(farm.config))
    run = decide_morning(
        farm.config,
        stores,
        now,
        late=late,
        progress=progress,
        past=farm.past,
        clock=None if asked_for else clock,
        # Only the first morning of a date has digests that tell of the rigs.
        rigs=None if again or kind != KIND else rig_planner(farm, clock, deadline),
    )
    keep_judged(run.clock, stores, local_date, now)
    delivery = send_morning(
        run,
        farm.config,
        stores,
        channels,
        now,
        worker,
        clock=clock,
        breaker=breaker,
        look=kind != KIND,
    )
    unsent = len(stores.deliveries.unsent(local_date, KIND))
    code = exit_codes.worst(
        [
            decided_code(run),
            delivered_code(delivery),
            # A run that finds every message waiting for its next try has counted none of them.
            exit_codes.SOME_UNDELIVERED if unsent else exit_codes.OK,
        ]
    )
    stores.runs.finish(number, code, now, sent=True)
    if not farm.past:
        _prune(farm)
    return Morning(run, delivery, code, again, unsent)


def _prune(farm: "OpenFarm") -> None:
    """Let old issues go, once a morning; what was sent is sent, whether this works or not."""
    from storage.errors import StorageError

    keep = timedelta(days=farm.config.settings.forecast.keep_days)
    try:
        gone = farm.stores.forecasts.prune(farm.now - keep)
    except StorageError as fault:
        log.warning("old forecasts were not pruned: %s", fault)
    else:
        if gone:
            log.info("%d forecasts older than %d days pruned", gone, keep.days)
