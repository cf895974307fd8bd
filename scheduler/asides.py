"""What is shown beside the calls, asked for after the forecast, in what is left of its time.

Nothing that goes wrong here delays or fails a morning: it only is not known.
"""

import logging
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TypeVar

from agronomy.hourly_forecast import whole_hour
from config.load import FarmConfig
from dispatch.alert_figures import FreezeAlertFigures
from dispatch.asides import AlertsTold, Asides
from dispatch.further import further_figures, leader_reach_h
from dispatch.further_figures import FurtherFigures
from dispatch.member_odds import MemberOdds, Members, member_odds, odds_not_known
from forecasts import open_meteo_forecast
from forecasts.alerts import Alerts, fetch_alerts
from forecasts.aside_sources import (
    make_alert_source,
    make_ensemble_source,
    make_further_source,
)
from forecasts.cells import Place
from forecasts.errors import ForecastError
from forecasts.fetch import FetchedForecast
from forecasts.further import fetch_further
from forecasts.memory import ForecastMemory

#: Most of a morning's time that each of these may take; judgement.
MOST_TIME_FRAC = 0.1

UNEXPECTED = "something unexpected happened, see the log"

T = TypeVar("T")

log = logging.getLogger("warmspell.morning")


def stopwatch(allowed_s: float) -> Callable[[], float]:
    """Tells how much of a time is left [s], counted from now on."""
    ends_s = time.monotonic() + allowed_s
    return lambda: max(0.0, ends_s - time.monotonic())


@dataclass(frozen=True)
class _Morning:
    """What asides are made with."""

    config: FarmConfig
    places: Sequence[Place]
    fetched: FetchedForecast
    now: datetime
    left_s: Callable[[], float]

    @property
    def time_s(self) -> float:
        """How long the next of them may take [s]."""
        allowed_s = self.config.settings.forecast.total_deadline_s
        return min(self.left_s(), MOST_TIME_FRAC * allowed_s)

    @property
    def key(self) -> str | None:
        """Open-Meteo's key."""
        secret = self.config.secrets.forecast_key
        return secret.get_secret_value() if secret else None


def learn_asides(
    config: FarmConfig,
    memory: ForecastMemory,
    fetched: FetchedForecast,
    now: datetime,
    left_s: Callable[[], float],
) -> Asides:
    """Alerts, a further look and odds by an ensemble, as far as the settings ask for them.

    Parameters
    ----------
    config
        The farm.
    memory
        Where answers are kept.
    fetched
        The morning's forecast. A service that refuses to talk to us is asked for no alerts.
    now
        The moment of the morning, aware.
    left_s
        Tells how much of the morning's time for asking is left [s].
    """
    places = [Place(one.id, one.latitude, one.longitude) for one in config.fields]
    morning = _Morning(config, places, fetched, now, left_s)
    return Asides(alerts=_alerts(morning), further=_further(morning, memory), odds=_odds(morning))


def _alerts(morning: _Morning) -> dict[str, AlertsTold]:
    source = None
    try:
        source = make_alert_source(morning.config.settings.forecast, morning.config.folder)
        if source is None:
            return {}
        if morning.fetched.refusal:
            return _same(morning, AlertsTold(problem=morning.fetched.refusal))
        source.begin(morning.time_s)
        told = fetch_alerts(source, morning.places, morning.now)
        return {name: _alerts_told(one) for name, one in told.items()}
    except Exception as error:
        return _same(morning, AlertsTold(problem=_plain("freeze alerts", error)))


def _alerts_told(told: Alerts) -> AlertsTold:
    alerts = tuple(
        FreezeAlertFigures(
            event=one.event,
            onset_utc=one.onset_utc,
            ends_utc=one.ends_utc,
            sender=one.sender,
            headline=one.headline,
        )
        for one in told.alerts
    )
    return AlertsTold(alerts=alerts, problem=told.problem)


def _further(morning: _Morning, memory: ForecastMemory) -> dict[str, FurtherFigures]:
    config, settings = morning.config, morning.config.settings.forecast
    asked = open_meteo_forecast.SOURCE
    try:
        source = make_further_source(settings, config.folder, morning.key)
        if source is None:
            return {}
        other = fetch_further(
            morning.places,
            morning.now,
            source=source,
            memory=memory,
            settings=settings,
            time_s=morning.time_s,
        )
        lead = morning.fetched
        reach = {
            name: lead.forecast.start_utc + timedelta(hours=leader_reach_h(lead.forecast, row))
            for name, row in lead.row_of.items()
        }
        return further_figures(
            other.forecast,
            other.row_of,
            reach,
            config.fields,
            config.rules,
            config.settings.dispatch,
            morning.now,
            asked,
        )
    except Exception as error:
        problem = _plain("further look", error)
        return _same(morning, FurtherFigures(source=asked, problem=problem))


def _odds(morning: _Morning) -> dict[str, MemberOdds]:
    config, start_utc = morning.config, whole_hour(morning.now)
    asked = open_meteo_forecast.SOURCE
    try:
        source = make_ensemble_source(config.settings.forecast, config.folder, morning.key)
        if source is None:
            return {}
        source.begin(morning.time_s)
        members: dict[str, Members] = {}
        missing: dict[str, MemberOdds] = {}
        for name, one in source.fetch(morning.places, morning.now).items():
            problem = one.message if isinstance(one, ForecastError) else _age_problem(one, morning)
            if isinstance(one, ForecastError) or problem:
                missing[name] = odds_not_known(asked, start_utc, problem)
            else:
                members[name] = one
        return missing | member_odds(members, start_utc, config.fields, config.rules)
    except Exception as error:
        problem = _plain("odds by members", error)
        return _same(morning, odds_not_known(asked, start_utc, problem))


def _age_problem(members: Members, morning: _Morning) -> str:
    """Why members are too old to count odds from: these could make a freeze look less likely."""
    if members.issued_utc is None:
        return "when its members were issued is not known"
    age = morning.now - members.issued_utc
    most_h = morning.config.settings.dispatch.age_unknown_h
    return f"its members are older than {most_h:g} h" if age > timedelta(hours=most_h) else ""


def _same(morning: _Morning, told: T) -> dict[str, T]:
    return {one.field_id: told for one in morning.places}


def _plain(what: str, error: Exception) -> str:
    if isinstance(error, ForecastError):
        return error.message
    log.error("%s: %s", what, type(error).__name__, exc_info=error)
    return UNEXPECTED
