"""The morning, one line for each room: this is the table of contents of the house."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from config.load import FarmConfig
from dispatch.farm_morning import FarmMorning
from dispatch.outlook import Outlook, field_outlook
from dispatch.past_freeze import forecast_freezes
from dispatch.ranking import rank_fields
from dispatch.readiness import judge_maturity
from dispatch.report import MorningReport
from farm.records import Freeze
from forecasts.cells import Place
from forecasts.fetch import FetchedForecast, fetch_hourly
from forecasts.sources import ForecastSource, make_source, make_stand_in
from notify.channel import Channel
from notify.deliver import DeliverySummary, deliver
from notify.digest import Digest, write_digests
from notify.outbox import address_book, planned_messages
from notify.sms import MAX_SEGMENTS
from scheduler.as_of import ArchiveAsOf, NobodyAsked
from scheduler.contact_rules import contact_rules
from scheduler.morning_inputs import MorningInputs, kept_inputs
from scheduler.season_records import SeasonRecords, season_records
from storage.stores import Stores

Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class MorningRun:
    """A morning decided and written, not yet sent.

    ``no_forecast`` says that nothing fit to be shown is known of the sky for any field; the
    digests still go out and say so. ``freezes`` are killing freezes of this morning that only a
    forecast told of. ``inputs`` is what the calls can be made from again. ``refusal`` is why the
    weather service refuses to answer us until the config is mended, "" where it does answer.
    """

    report: MorningReport
    digests: tuple[Digest, ...]
    no_forecast: bool
    freezes: tuple[Freeze, ...]
    inputs: dict[str, Any]
    refusal: str = ""


def decide_morning(
    config: FarmConfig,
    stores: Stores,
    now: datetime,
    *,
    late: bool = False,
    progress: Progress | None = None,
    past: bool = False,
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

    Raises
    ------
    ForecastError
        The forecast source itself is not usable; what fails for single cells is told in the
        report instead.
    StorageError
        The records cannot be read or written.
    """
    past = past and config.settings.forecast.source != "folder"
    fields, records = config.fields, season_records(stores, config.time_zone, now)
    stores.fields.remember(fields, now)
    source, stand_in = _sources(config, past)
    fetched = fetch_hourly(
        [Place(one.id, one.latitude, one.longitude) for one in fields],
        now,
        source=source,
        memory=ArchiveAsOf(stores.forecasts, now) if past else stores.forecasts,
        settings=config.settings.forecast,
        progress=progress,
        stand_in=stand_in,
    )
    farm = _farm(config, records)
    used = MorningInputs(farm, records.visits, fetched.forecast, fetched.row_of, now, late)
    report, outlook = make_calls(used)
    digests = write_digests(report, config.settings.people, stop_line(config), _segments(config))
    return MorningRun(
        report=report,
        digests=digests,
        no_forecast=_nothing_shown(fetched, report),
        refusal=fetched.refusal,
        freezes=forecast_freezes(farm, outlook, now),
        inputs=kept_inputs(used, stores.forecasts),
    )


def make_calls(used: MorningInputs) -> tuple[MorningReport, Outlook]:
    """The calls that follow from everything a morning knows, and the outlook behind them."""
    farm = used.farm
    outlook = field_outlook(used.forecast, used.row_of, farm.registered, farm.rules)
    maturity = judge_maturity(used.visits, farm.registered, farm.rules, used.now)
    return rank_fields(farm, outlook, maturity, used.now, late=used.late), outlook


def send_morning(
    run: MorningRun,
    config: FarmConfig,
    stores: Stores,
    channels: Mapping[str, Channel],
    now: datetime,
    worker: str,
) -> DeliverySummary:
    """Keep the plan, put the messages in the outbox once, and hand over what is due.

    The outbox holds one message per person, local date, kind and revision, so a second morning
    of the same day sends nothing again.
    """
    stores.plans.keep(run.report, run.inputs)
    stores.freezes.add_all(run.freezes, now)
    messages = planned_messages(run.digests, config.settings, now)
    messages, held = contact_rules(config, stores.consents).split(messages, now)
    stores.deliveries.plan(messages, now)
    addresses = address_book(config.settings.people)
    told = deliver(stores.deliveries, channels, now, worker, addresses)
    return replace(told, held_back=told.held_back + len(held), notes=(*told.notes, *held))


def _sources(config: FarmConfig, past: bool) -> tuple[ForecastSource, ForecastSource | None]:
    """Who leads and who stands in; of a past morning nobody is asked."""
    if past:
        return NobodyAsked(), None
    settings, secret = config.settings.forecast, config.secrets.forecast_key
    key = secret.get_secret_value() if secret else None
    return make_source(settings, config.folder, key), make_stand_in(settings, config.folder, key)


def _nothing_shown(fetched: FetchedForecast, report: MorningReport) -> bool:
    """Whether nothing of the sky is known, or only what is too old for any of it to be shown."""
    marks = {one.forecast.age_mark for one in report.fields}
    return not fetched.any_known or marks == {"very_old"}


def stop_line(config: FarmConfig) -> str:
    """How a reader stops these mails."""
    mail = config.settings.mail
    return f"To stop these mails: {mail.stop_contact if mail else 'tell your co-op'}."


def _segments(config: FarmConfig) -> int:
    sms = config.settings.sms
    return sms.max_segments if sms else MAX_SEGMENTS


def _farm(config: FarmConfig, records: SeasonRecords) -> FarmMorning:
    settings = config.settings
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
