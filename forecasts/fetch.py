"""The morning's forecast for every field: what is new, what is kept, what is not known."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

import numpy as np

from agronomy.hourly_forecast import FORECAST_HOURS, HourlyForecast, on_common_hours, whole_hour
from forecasts.asked import Asked
from forecasts.cell_answers import Found
from forecasts.cells import Place
from forecasts.later_rounds import LaterRounds
from forecasts.memory import ForecastMemory
from forecasts.rounds import Progress, Steps, ask_leaders, ask_stand_ins
from forecasts.settings import ForecastSettings
from forecasts.sources import ForecastSource, cells_of


@dataclass(frozen=True, eq=False)
class FetchedForecast:
    """One forecast for all fields.

    ``row_of`` holds the row of every field. A field whose cell is not known has a row of its own,
    named ``field:<id>``, NaN throughout. ``any_known`` is False where no temperature is known for
    any field at any hour. ``requests`` counts what was sent. ``refusals`` tell, by the name of a
    service that leads, why it refuses to talk to us at all until a setting is mended.
    """

    forecast: HourlyForecast
    row_of: dict[str, int]
    any_known: bool
    requests: int
    refusals: Mapping[str, str] = field(default_factory=dict)

    @property
    def refusal(self) -> str:
        """Why services refuse to talk to us, on one line, "" where all do talk."""
        return "; ".join(self.refusals.values())


@dataclass(frozen=True)
class Team:
    """Who leads, and who stands in for it."""

    source: ForecastSource
    stand_in: ForecastSource | None = None


def fetch_hourly(
    places: Sequence[Place],
    now: datetime,
    *,
    source: ForecastSource,
    memory: ForecastMemory,
    settings: ForecastSettings,
    progress: Progress | None = None,
    rounds: LaterRounds | None = None,
    stand_in: ForecastSource | None = None,
    teams: Mapping[str, Team] | None = None,
    asked: Asked | None = None,
) -> FetchedForecast:
    """Fetch the forecast of every place; places in one cell of a source share one request.

    Cells that had no answer are asked again in later rounds, where the time allows any.

    Parameters
    ----------
    places
        Where the fields are.
    now
        The moment of the morning, aware UTC; the forecast starts in this hour.
    source, memory, settings
        Whom to ask, what is remembered, how long to take.
    progress
        Called with (steps done, steps in all): a place takes two, its cell and its forecast.
    rounds
        The pauses between rounds; by the settings where not given.
    stand_in
        Whom to ask, after all rounds, for the cells that ``source`` has nothing new enough for.
        It takes the place of a whole cell, and the row then names it.
    teams
        Whom to ask, by field, where that is somebody else. ``total_deadline_s`` stands for all of
        them together.
    asked
        What sources were asked this morning, kept for whoever asks them after this.

    Returns
    -------
    FetchedForecast
        Always complete: what fails for one cell is told in that cell's ``problem``, with the last
        good answer in place where there is one, and touches no other cell.

    Raises
    ------
    ValueError
        ``now`` has no time zone.
    """
    if now.tzinfo is None:
        raise ValueError(f"the moment of the morning: got {now!r}, wanted one with its time zone")
    asked = asked or Asked(memory, settings.cell_max_age_days, now)
    team_of = [(one, (teams or {}).get(one.field_id, Team(source, stand_in))) for one in places]
    led = _by_source((one, team.source) for one, team in team_of)
    standing_in = _by_source((one, team.stand_in) for one, team in team_of)
    time_s = settings.total_deadline_s
    lead_s = settings.lead_time_s(bool(standing_in))
    if rounds is None:
        rounds = LaterRounds(settings.model_copy(update={"total_deadline_s": lead_s}))
    steps = Steps(progress, 2 * len(places))
    found = ask_leaders(led, asked, lead_s, steps, rounds)
    after_h, left_s = settings.stand_in_after_h, time_s - lead_s
    found |= ask_stand_ins(standing_in, found, asked, left_s, after_h, now)
    rows = [(place.field_id, found[place.field_id]) for place in places]
    fetched = on_rows(rows, now, asked.requests)
    return replace(fetched, refusals=_refusals(list(led), asked))


def _refusals(leaders: Sequence[ForecastSource], asked: Asked) -> dict[str, str]:
    """Why services refuse us, each by its name, which is told too where several lead."""
    found = {"/".join(cells_of(one)): asked.answers(one).refusal for one in leaders}
    return {
        name: why if len(leaders) == 1 else f'source "{name}": {why}'
        for name, why in found.items()
        if why
    }


def _by_source(
    asked: Iterable[tuple[Place, ForecastSource | None]],
) -> dict[ForecastSource, list[Place]]:
    found: dict[ForecastSource, list[Place]] = {}
    for place, source in asked:
        if source is not None:
            found.setdefault(source, []).append(place)
    return found


def on_rows(
    found: Sequence[tuple[str, Found]],
    now: datetime,
    requests: int,
    hours: int = FORECAST_HOURS,
) -> FetchedForecast:
    """What was found, a row for each answer and each reason why there is none."""
    rows: dict[Found, int] = {}
    row_of = {field_id: rows.setdefault(one, len(rows)) for field_id, one in found}
    forecast = on_common_hours(
        [(one.cell_id, one.forecast, one.problem) for one in rows], whole_hour(now), hours
    )
    return FetchedForecast(
        forecast=forecast,
        row_of=row_of,
        any_known=bool((~np.isnan(forecast.temp_f)).any()),
        requests=requests,
    )
