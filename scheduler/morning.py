"""The morning, one line for each room: this is the table of contents of the house."""

import logging
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from config.load import FarmConfig
from dispatch.asides import NO_ASIDES, with_asides
from dispatch.farm_morning import FarmMorning
from dispatch.outlook import outlooks_of
from dispatch.own_errors import laid_on
from dispatch.ranking import rank_fields
from dispatch.readiness import judge_maturity, unreadable
from dispatch.report import MorningReport
from farm.message import PlannedMessage
from farm.records import Freeze
from forecasts.fetch import FetchedForecast
from forecasts.times_told import TimesTold, listening
from notify.breaker import Breaker
from notify.channel import Channel
from notify.correction import CORRECTION
from notify.deliver import DeliverySummary
from notify.digest import Digest, write_digests
from notify.morning_rigs import MorningRigs
from scheduler.asides import learn_asides, stopwatch
from scheduler.asking import ask, whom_to_ask
from scheduler.clock_arbiter import NOT_HEARD, ClockJudged, judge_clock
from scheduler.hand_over import hand_over, send_times
from scheduler.link_maker import link_maker
from scheduler.messages import LOOK, MORNING, messages_of, most_segments
from scheduler.morning_inputs import MorningInputs, kept_inputs
from scheduler.own_errors import policy_with_own_errors
from scheduler.poison import calls_apart
from scheduler.rigs_of_morning import OVERTAKEN, RigPlanner, overtaken
from scheduler.season_records import SeasonRecords, readable_records, spoilt_fields
from scheduler.stop_line import stop_line
from scheduler.stopped import stopped, without_ages
from storage.stores import Stores

Progress = Callable[[int, int], None]

log = logging.getLogger("warmspell.morning")


@dataclass(frozen=True)
class MorningRun:
    """A morning decided and written, not yet sent.

    ``no_forecast`` says that nothing fit to be shown is known of the sky for any field; the
    digests still go out and say so. ``freezes`` are killing freezes of this morning that only a
    forecast told of. ``inputs`` is what the calls can be made from again. ``refusal`` is why the
    weather service refuses to answer us until the config is mended, "" where it does answer.
    ``damaged`` names records that are not what was written, and fields our code stumbled over;
    their fields are not known. ``clock`` is what others say of this machine's clock. ``rigs`` is
    the plan that was made from the calls, which has no part in them.
    """

    report: MorningReport
    digests: tuple[Digest, ...]
    no_forecast: bool
    freezes: tuple[Freeze, ...]
    inputs: dict[str, Any]
    refusal: str = ""
    damaged: tuple[str, ...] = ()
    clock: ClockJudged = NOT_HEARD
    rigs: MorningRigs | None = None


def decide_morning(
    config: FarmConfig,
    stores: Stores,
    now: datetime,
    *,
    late: bool = False,
    progress: Progress | None = None,
    past: bool = False,
    clock: Callable[[], datetime] | None = None,
    rigs: RigPlanner | None = None,
) -> MorningRun:
    """Make every field's call and write everybody's digest.

    Parameters
    ----------
    config, stores
        The farm as registered and its records.
    now
        The moment of the morning, aware.
    late
        Whether the digests are already overdue; they then say so.
    progress
        Called with (steps done, steps in all) while forecasts are fetched.
    past
        Whether ``now`` lies back: then the forecasts are those that the archive held by then, and
        nobody is asked, unless recorded answers are replayed from a folder.
    clock
        The clock of this machine, to be held against what services say the time is; None where
        ``now`` is a time that was asked for.
    rigs
        Plans the rigs from the calls, for the digests of those who drive or send them.

    Raises
    ------
    ForecastError
        The forecast source itself is not usable; what fails for single cells is told in the
        report instead.
    StorageError
        The records cannot be read or written.
    """
    run = _called(config, stores, now, late=late, progress=progress, past=past, clock=clock)
    # Forecasts are let go by now: those of a big farm and its digests are never there together.
    return _written(run, config, rigs(run.report, run.inputs) if rigs else None)


def _written(run: MorningRun, config: FarmConfig, rigs: MorningRigs | None) -> MorningRun:
    """The morning with everybody's digest, and why stops were left out of any in the log."""
    people, links = config.settings.people, link_maker(config)
    segments = most_segments(config)
    digests = write_digests(run.report, people, stop_line(config), segments, links, rigs)
    for one in digests:
        if one.stop_faults:
            log.error("stops left out of the digest of %s: %s", one.person.id, one.stop_faults[0])
    return replace(run, digests=digests, rigs=rigs)


def _called(
    config: FarmConfig,
    stores: Stores,
    now: datetime,
    *,
    late: bool,
    progress: Progress | None,
    past: bool,
    clock: Callable[[], datetime] | None,
) -> MorningRun:
    """The morning with every call made and no digest written."""
    past = past and config.settings.forecast.source != "folder"
    fields, records = config.fields, readable_records(stores, config.time_zone, now)
    stores.fields.remember(fields, now)
    asking = whom_to_ask(config, stores, now, past)
    left_s = stopwatch(config.settings.forecast.total_deadline_s)
    heard = None if clock is None else TimesTold(clock)
    with listening(heard):
        fetched = ask(asking, config.settings.forecast, now, progress=progress)
        asides = NO_ASIDES if past else learn_asides(config, asking, fetched, now, left_s)
    judged = judge_clock(heard, fetched.forecast.issued_utc)
    policy, own_errors = policy_with_own_errors(config, stores, fetched.forecast, now)
    farm = replace(farm_of(config, records), policy=policy)
    spoilt = spoilt_fields(
        records.damaged,
        [one.id for one in fields],
        [one.id for one in stores.fields.known()],
    )
    used = MorningInputs(farm, records.visits, fetched.forecast, fetched.row_of, now, late, spoilt)
    used = replace(used, own_errors=own_errors, asides=asides, stop=judged.stop)
    report, freezes, used, stumbled = calls_apart(used, make_calls)
    return MorningRun(
        report=report,
        digests=(),
        no_forecast=_nothing_shown(fetched, report),
        refusal=fetched.refusal,
        # By a wrong clock an hour of the forecast may seem to be over that is still to come.
        freezes=() if used.stop else freezes,
        inputs=kept_inputs(used, stores.forecasts),
        damaged=(*(one.told for one in records.damaged), *stumbled),
        clock=judged,
    )


def make_calls(used: MorningInputs) -> tuple[MorningReport, tuple[Freeze, ...]]:
    """The calls that follow from all a morning knows, and the freezes only a forecast tells of."""
    farm = replace(used.farm, unread=frozenset(used.spoilt))
    forecast = used.forecast if not used.stop else without_ages(used.forecast)
    outlooks = outlooks_of(forecast, used.row_of, farm.registered, farm.rules)
    maturity = judge_maturity(used.visits, farm.registered, farm.rules, used.now)
    maturity |= {one: unreadable(why) for one, why in used.spoilt.items()}
    report, freezes = rank_fields(farm, outlooks, maturity, used.now, late=used.late)
    report = with_asides(stopped(report, used.stop), used.asides)
    return laid_on(report, used.own_errors), freezes


def send_morning(
    run: MorningRun,
    config: FarmConfig,
    stores: Stores,
    channels: Mapping[str, Channel],
    now: datetime,
    worker: str,
    *,
    clock: Callable[[], datetime] | None = None,
    breaker: Breaker | None = None,
    look: bool = False,
) -> DeliverySummary:
    """Keep the plan and put all its messages in the outbox, at once, and hand over what is due.

    The outbox holds one message per person, local date, kind and revision, so a second morning
    of the same day sends nothing again but what corrects the first.

    Parameters
    ----------
    run, config, stores
        The morning as decided, and the farm.
    channels
        Ways to reach people, by the name the outbox uses.
    now
        The moment of the morning, aware.
    worker
        Name of this run, never used by another.
    clock
        Tells the time as the sending goes on; without it, time stands still at ``now``.
    breaker
        What is known of the channels' health.
    look
        Whether this is a second look, whose only message is a correction.
    """
    held = _put_in_outbox(run, config, stores, now, look=look)
    people, times = config.settings.people, send_times(config)
    done = hand_over(stores, channels, people, times, worker, clock or (lambda: now), breaker)
    return replace(done, held_back=done.held_back + len(held), notes=(*done.notes, *held))


def _put_in_outbox(
    run: MorningRun, config: FarmConfig, stores: Stores, now: datetime, *, look: bool
) -> tuple[str, ...]:
    """Keep the plan and all its messages at once; a line on each that may not go out.

    The messages are let go before the hand-over, which reads them from the outbox again. A plan
    of the rigs that another has overtaken is taken out of the digests, and not kept.
    """
    messages, held = messages_of(run, config, stores, now, look=look)
    with stores.database.write():
        stale = overtaken(run.rigs, stores)
        if not stale:
            _keep(run, stores, messages, now, look=look)
    if stale and run.rigs:
        anew = _written(run, config, run.rigs.without_plan(OVERTAKEN))
        return _put_in_outbox(anew, config, stores, now, look=look)
    return held


def _keep(
    run: MorningRun,
    stores: Stores,
    messages: tuple[PlannedMessage, ...],
    now: datetime,
    *,
    look: bool,
) -> None:
    """Keep all that a morning decided, in the transaction that is under way."""
    corrections = [one for one in messages if one.kind.startswith(CORRECTION)]
    corrected = stores.deliveries.plan(corrections, now)
    stores.deliveries.plan(messages, now)
    # A second look that corrects nothing is no plan that anybody was told.
    stores.plans.keep(run.report, run.inputs, MORNING if corrected or not look else LOOK)
    stores.freezes.add_all(run.freezes, now)
    if run.rigs and run.rigs.plan:
        stores.route_plans.keep(run.rigs.plan, now)


def _nothing_shown(fetched: FetchedForecast, report: MorningReport) -> bool:
    """Whether nothing of the sky is known, or only what is too old for any of it to be shown."""
    marks = {one.forecast.age_mark for one in report.fields}
    return not fetched.any_known or marks == {"very_old"}


def farm_of(config: FarmConfig, records: SeasonRecords) -> FarmMorning:
    """The farm as the ranking needs it, with the policy of its settings."""
    settings, records = config.settings, records.certain()
    return FarmMorning(
        name=settings.farm.name,
        time_zone=config.time_zone,
        registered=config.fields,
        rules=config.rules,
        rigs=settings.rigs,
        growers={one.id: one.name for one in settings.growers},
        treatments={one.id: one.name for one in settings.treatments},
        sprays=records.sprays,
        policy=settings.dispatch,
        harvest=settings.harvest,
        harvests=records.harvests,
        freezes=records.freezes,
        inspections=records.inspections,
    )
