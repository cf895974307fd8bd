"""What another source tells past the reach of the one that leads, asked for after it."""

from collections.abc import Sequence
from datetime import datetime

from forecasts.cell_answers import CellAnswers
from forecasts.cells import Place
from forecasts.fetch import FetchedForecast, ask_round, on_rows
from forecasts.memory import ForecastMemory
from forecasts.own_cells import OwnCells
from forecasts.settings import ForecastSettings
from forecasts.sources import ForecastSource, cells_of

#: Hours looked at [h], the sixteen days Open-Meteo tells.
FURTHER_HOURS = 16 * 24


def fetch_further(
    places: Sequence[Place],
    now: datetime,
    *,
    source: ForecastSource,
    memory: ForecastMemory,
    settings: ForecastSettings,
    time_s: float,
) -> FetchedForecast:
    """The other source's forecast of every place, on a grid of its own.

    Each cell is asked for once, and answers are judged and kept as those of the leader are.

    Parameters
    ----------
    places
        Where the fields are.
    now
        The moment of the morning, aware UTC; the grid starts in this hour.
    source, memory, settings
        Whom to ask, what is remembered, how to judge.
    time_s
        Longest it may take [s].
    """
    source.begin(time_s)
    own = OwnCells(memory, cells_of(source), keeps=False)
    answers = CellAnswers(source, own, settings.cell_max_age_days, now)
    found = ask_round(places, source, answers)
    rows = [(one.field_id, found[one.field_id]) for one in places]
    return on_rows(rows, now, source.requests, answers.refusal, FURTHER_HOURS)
