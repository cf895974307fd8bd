"""The morning's forecast for every field: what is new, what is kept, what is not known."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from agronomy.hourly_forecast import FORECAST_HOURS, HourlyForecast, on_common_hours, whole_hour
from farm.grid_cell import GridCell
from forecasts.cell_answers import CellAnswers, Found
from forecasts.cells import Place
from forecasts.later_rounds import LaterRounds
from forecasts.memory import ForecastMemory
from forecasts.own_cells import OwnCells
from forecasts.settings import ForecastSettings
from forecasts.sources import ForecastSource, PointSource, cells_of
from forecasts.standing_in import better, wants_stand_in

Progress = Callable[[int, int], None]

#: Share of a morning's time that is kept for the source that stands in, where there is one.
STAND_IN_TIME_FRAC = 0.2


@dataclass(frozen=True, eq=False)
class FetchedForecast:
    """One forecast for all fields.

    ``row_of`` holds the row of every field. A field whose cell is not known has a row of its own,
    named ``field:<id>``, NaN throughout. ``any_known`` is False where no temperature is known for
    any field at any hour. ``requests`` counts what was sent. ``refusal`` is why the service
    refuses to talk to us at all until a setting is mended, "" where it does talk.
    """

    forecast: HourlyForecast
    row_of: dict[str, int]
    any_known: bool
    requests: int
    refusal: str = ""


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
) -> FetchedForecast:
    """Fetch the forecast of every place; places in one cell share one request.

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
    time_s = settings.total_deadline_s
    lead_s = time_s if stand_in is None else time_s * (1 - STAND_IN_TIME_FRAC)
    steps = Steps(progress, 2 * len(places))
    if rounds is None:
        rounds = LaterRounds(settings.model_copy(update={"total_deadline_s": lead_s}))
    own = OwnCells(memory, cells_of(source), keeps=True)
    answers = CellAnswers(source, own, settings.cell_max_age_days, now)
    source.begin(lead_s)
    found = _lead(places, source, answers, steps, rounds)
    requests = source.requests
    if stand_in is not None:
        stand_in.begin(time_s - lead_s)
        found |= _stand_in(places, found, stand_in, memory, settings, now)
        requests += stand_in.requests
    return on_rows(
        [(place.field_id, found[place.field_id]) for place in places],
        now,
        requests,
        answers.refusal,
    )


def _lead(
    places: Sequence[Place],
    source: ForecastSource,
    answers: CellAnswers,
    steps: "Steps",
    rounds: LaterRounds,
) -> dict[str, Found]:
    """What the source that leads tells, in as many rounds as the time allows."""
    found = ask_round(places, source, answers, steps)
    # Without a request sent there is nobody who could tell more in some minutes.
    while source.requests and (pending := answers.worth_asking_again(places)):
        if not rounds.another(lambda: steps.take(0)):
            break
        found |= ask_round(pending, source, answers)
    return found


def _stand_in(
    places: Sequence[Place],
    found: dict[str, Found],
    source: ForecastSource,
    memory: ForecastMemory,
    settings: ForecastSettings,
    now: datetime,
) -> dict[str, Found]:
    """What stands for the places that the source which leads has nothing new enough for."""
    after_h = settings.stand_in_after_h
    missed = [one for one in places if wants_stand_in(found[one.field_id], after_h, now)]
    own = OwnCells(memory, cells_of(source), keeps=False)
    answers = CellAnswers(source, own, settings.cell_max_age_days, now)
    told = ask_round(missed, source, answers)
    return {name: better(found[name], other, now) for name, other in told.items()}


def ask_round(
    places: Sequence[Place],
    source: ForecastSource,
    answers: CellAnswers,
    steps: "Steps | None" = None,
) -> dict[str, Found]:
    """What is known for each place after asking once."""
    steps = steps or Steps(None, 0)
    found: dict[str, Found] = {}
    groups: dict[str, list[Place]] = {}
    cells: dict[str, GridCell] = {}
    for place in places:
        cell, problem = answers.cell_of(place)
        if cell is None:
            found[place.field_id] = Found(f"field:{place.field_id}", None, problem)
        else:
            answers.expect(place, cell)
            groups.setdefault(cell.id, []).append(place)
            cells[cell.id] = cell
        steps.take(1 if cell is not None else 2)
    if isinstance(source, PointSource):
        source.expect(list(cells.values()))
    for cell_id, group in groups.items():
        for place in group:
            found[place.field_id] = answers.for_place(place, cell_id)
        steps.take(len(group))
    return found


class Steps:
    """Steps taken, told as they are taken."""

    def __init__(self, progress: Progress | None, total: int) -> None:
        self._progress, self._total, self._done = progress, total, 0

    def take(self, steps: int) -> None:
        """Take some."""
        self._done += steps
        if self._progress is not None:
            self._progress(self._done, self._total)


def on_rows(
    found: Sequence[tuple[str, Found]],
    now: datetime,
    requests: int,
    refusal: str,
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
        refusal=refusal,
    )
