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
from forecasts.aside_sources import alert_source, ensemble_source
from forecasts.cells import Place
from forecasts.errors import ForecastError
from forecasts.fetch import FetchedForecast
from forecasts.further import fetch_further
from scheduler.asking import Asking

#: Most of a morning's time that each of these may take; judgement.
MOST_TIME_FRAC = 0.1

#: Who tells alerts.
ALERTING = "nws"

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
    asking: Asking
    fetched: FetchedForecast
    now: datetime
    left_s: Callable[[], float]

    @property
    def time_s(self) -> float:
        """How long the next of them may take [s]."""
        allowed_s = self.config.settings.forecast.total_deadline_s
        return min(self.left_s(), MOST_TIME_FRAC * allowed_s)

    def places_of(self, name: str) -> list[Place]:
        """The places that a source tells, in whatever part."""
        tellers = self.config.tellers
        return [one for one in self.asking.places if name in tellers[one.field_id].names]

    @property
    def looked_past(self) -> dict[str, list[Place]]:
        """The places that somebody looks at past their leader's reach, by who does."""
        found: dict[str, list[Place]] = {}
        for one in self.asking.places:
            if name := self.config.tellers[one.field_id].extend:
                found.setdefault(name, []).append(one)
        return found


def learn_asides(
    config: FarmConfig,
    asking: Asking,
    fetched: FetchedForecast,
    now: datetime,
    left_s: Callable[[], float],
) -> Asides:
    """Alerts, a further look and odds by an ensemble, as far as the settings ask for them.

    Parameters
    ----------
    config
        The farm.
    asking
        Whom the morning asks, and what was asked.
    fetched
        The morning's forecast. A service that refuses to talk to us is asked for no alerts.
    now
        The moment of the morning, aware.
    left_s
        Tells how much of the morning's time for asking is left [s].
    """
    morning = _Morning(config, asking, fetched, now, left_s)
    return Asides(alerts=_alerts(morning), further=_further(morning), odds=_odds(morning))


def _alerts(morning: _Morning) -> dict[str, AlertsTold]:
    replayed = morning.config.settings.forecast.source == "folder"
    places = list(morning.asking.places) if replayed else morning.places_of(ALERTING)
    if not places:
        return {}
    try:
        source = alert_source(morning.asking.sources)
        if source is None:
            return {}
        if why := morning.fetched.refusals.get(ALERTING):
            return _same(places, AlertsTold(problem=why))
        source.begin(morning.time_s)
        told = fetch_alerts(source, places, morning.now)
        return {name: _alerts_told(one) for name, one in told.items()}
    except Exception as error:
        return _same(places, AlertsTold(problem=_plain("freeze alerts", error)))


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


def _further(morning: _Morning) -> dict[str, FurtherFigures]:
    found: dict[str, FurtherFigures] = {}
    for name, places in morning.looked_past.items():
        found |= _looked_past(morning, name, places)
    return found


def _looked_past(
    morning: _Morning, name: str, places: Sequence[Place]
) -> dict[str, FurtherFigures]:
    """What one source sees past the leaders' reach."""
    config, lead = morning.config, morning.fetched
    asked = open_meteo_forecast.SOURCE
    try:
        other = fetch_further(
            places,
            morning.now,
            source=morning.asking.sources.named(name),
            asked=morning.asking.asked,
            time_s=morning.time_s,
        )
        reach = {
            name: lead.forecast.start_utc + timedelta(hours=leader_reach_h(lead.forecast, row))
            for name, row in lead.row_of.items()
        }
        return further_figures(
            other.forecast,
            other.row_of,
            reach,
            [one for one in config.fields if one.id in other.row_of],
            config.rules,
            config.settings.dispatch,
            morning.now,
            asked,
        )
    except Exception as error:
        problem = _plain("further look", error)
        return _same(places, FurtherFigures(source=asked, problem=problem))


def _odds(morning: _Morning) -> dict[str, MemberOdds]:
    config, start_utc = morning.config, whole_hour(morning.now)
    asked = open_meteo_forecast.SOURCE
    try:
        source = ensemble_source(morning.asking.sources)
        if source is None:
            return {}
        source.begin(morning.time_s)
        members: dict[str, Members] = {}
        missing: dict[str, MemberOdds] = {}
        for name, one in source.fetch(morning.asking.places, morning.now).items():
            problem = one.message if isinstance(one, ForecastError) else _age_problem(one, morning)
            if isinstance(one, ForecastError) or problem:
                missing[name] = odds_not_known(asked, start_utc, problem)
            else:
                members[name] = one
        return missing | member_odds(members, start_utc, config.fields, config.rules)
    except Exception as error:
        problem = _plain("odds by members", error)
        return _same(morning.asking.places, odds_not_known(asked, start_utc, problem))


def _age_problem(members: Members, morning: _Morning) -> str:
    """Why members are too old to count odds from: these could make a freeze look less likely."""
    if members.issued_utc is None:
        return "when its members were issued is not known"
    age = morning.now - members.issued_utc
    most_h = morning.config.settings.dispatch.age_unknown_h
    return f"its members are older than {most_h:g} h" if age > timedelta(hours=most_h) else ""


def _same(places: Sequence[Place], told: T) -> dict[str, T]:
    return {one.field_id: told for one in places}


def _plain(what: str, error: Exception) -> str:
    if isinstance(error, ForecastError):
        return error.message
    log.error("%s: %s", what, type(error).__name__, exc_info=error)
    return UNEXPECTED
