"""Whom a morning asks, field by field, and what of it lies in the archive where it is past."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from config.farm_config import FarmConfig
from forecasts.asked import Asked
from forecasts.cells import Place
from forecasts.errors import ForecastError
from forecasts.fetch import FetchedForecast, Team, fetch_hourly
from forecasts.later_rounds import LaterRounds
from forecasts.memory import ForecastMemory
from forecasts.not_usable import OpenMeteoWithoutKey
from forecasts.rounds import Progress
from forecasts.settings import ForecastSettings
from forecasts.sources import ForecastSource, Sources
from scheduler.as_of import ArchiveAsOf, NobodyAsked, cells_of_plan
from storage.stores import Stores


@dataclass(frozen=True)
class Asking:
    """Whom a morning asks.

    ``source`` leads where no field says otherwise; ``teams`` tell who leads and who stands in, by
    field. ``sources`` holds them by name, ``asked`` what they were asked.
    """

    places: tuple[Place, ...]
    source: ForecastSource
    teams: Mapping[str, Team]
    memory: ForecastMemory
    sources: Sources
    asked: Asked


def whom_to_ask(config: FarmConfig, stores: Stores, now: datetime, past: bool = False) -> Asking:
    """Whom the morning of a farm asks; of a past morning nobody, and the archive tells.

    Raises
    ------
    ForecastError
        The folder of recorded answers does not exist, or a key is not there.
    """
    settings, secret = config.settings.forecast, config.secrets.forecast_key
    sources = Sources(settings, config.folder, secret.get_secret_value() if secret else None)
    places = tuple(Place(one.id, one.latitude, one.longitude) for one in config.fields)
    memory = ArchiveAsOf(stores.forecasts, now) if past else stores.forecasts
    asked = Asked(memory, settings.cell_max_age_days, now)
    if past:
        nobody = NobodyAsked()
        stands = _stood_in(config, cells_of_plan(stores, now), places)
        teams = {name: Team(nobody, one) for name, one in stands.items()}
        return Asking(places, nobody, teams, memory, sources, asked)
    lead = sources.named(settings.source)
    names = dict.fromkeys(name for told in config.tellers.values() for name in told.names)
    usable = {name: _usable(sources, name) for name in names}
    teams = {
        name: Team(usable[told.source], usable.get(told.stand_in or ""))
        for name, told in config.tellers.items()
    }
    return Asking(places, lead, teams, memory, sources, asked)


def ask(
    asking: Asking,
    settings: ForecastSettings,
    now: datetime,
    *,
    progress: Progress | None = None,
    rounds: LaterRounds | None = None,
) -> FetchedForecast:
    """The forecast of every field, asked for as `fetch_hourly` does."""
    return fetch_hourly(
        asking.places,
        now,
        source=asking.source,
        memory=asking.memory,
        settings=settings,
        progress=progress,
        rounds=rounds,
        teams=asking.teams,
        asked=asking.asked,
    )


def _usable(sources: Sources, name: str) -> ForecastSource:
    """The source of a name; what is wrong with that of some fields costs no other the morning."""
    try:
        return sources.named(name)
    except ForecastError as error:
        return OpenMeteoWithoutKey(error)


def _stood_in(
    config: FarmConfig, cells: Mapping[str, str], places: tuple[Place, ...]
) -> dict[str, NobodyAsked]:
    """Who stood in, by field, as far as somebody is named that stands in."""
    by_name: dict[str, NobodyAsked] = {}
    found = {}
    for place in places:
        name = config.tellers[place.field_id].stand_in
        if name is not None:
            stood_in = by_name.setdefault(name, NobodyAsked(name))
            stood_in.knows(place, cells.get(place.field_id, ""))
            found[place.field_id] = stood_in
    return found
