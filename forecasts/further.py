"""What another source tells past the reach of the one that leads, asked for after it."""

from collections.abc import Sequence
from datetime import datetime

from forecasts.asked import Asked
from forecasts.cells import Place
from forecasts.fetch import FetchedForecast, on_rows
from forecasts.rounds import ask_round
from forecasts.sources import ForecastSource

#: Hours looked at [h], the sixteen days Open-Meteo tells.
FURTHER_HOURS = 16 * 24


def fetch_further(
    places: Sequence[Place],
    now: datetime,
    *,
    source: ForecastSource,
    asked: Asked,
    time_s: float,
) -> FetchedForecast:
    """The other source's forecast of every place, on a grid of its own.

    Each cell is asked for once, and not at all where the source told it this morning already;
    answers are judged and kept as those of the leader are.

    Parameters
    ----------
    places
        Where the fields are.
    now
        The moment of the morning, aware UTC; the grid starts in this hour.
    source, asked
        Whom to ask, and what was asked this morning.
    time_s
        Longest it may take [s].
    """
    asked.begin(source, time_s)
    answers = asked.answers(source)
    answers.take_turn(lambda: False)
    found = ask_round(places, source, answers)
    rows = [(one.field_id, found[one.field_id]) for one in places]
    return on_rows(rows, now, asked.requests, FURTHER_HOURS)
