"""The morning's forecast for every field: what is new, what is kept, what is not known."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from agronomy.hourly_forecast import HourlyForecast, on_common_hours, whole_hour
from forecasts.cell_answers import CellAnswers, Found
from forecasts.cells import Place
from forecasts.memory import ForecastMemory
from forecasts.settings import ForecastSettings
from forecasts.sources import ForecastSource

Progress = Callable[[int, int], None]


@dataclass(frozen=True, eq=False)
class FetchedForecast:
    """One forecast for all fields.

    ``row_of`` holds the row of every field. A field whose cell is not known has a row of its own,
    named ``field:<id>``, NaN throughout. ``any_known`` is False where no temperature is known for
    any field at any hour. ``requests`` counts what was sent.
    """

    forecast: HourlyForecast
    row_of: dict[str, int]
    any_known: bool
    requests: int


def fetch_hourly(
    places: Sequence[Place],
    now: datetime,
    *,
    source: ForecastSource,
    memory: ForecastMemory,
    settings: ForecastSettings,
    progress: Progress | None = None,
) -> FetchedForecast:
    """Fetch the forecast of every place; places in one cell share one request.

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
    source.begin(settings.total_deadline_s)
    answers = CellAnswers(source, memory, settings.cell_max_age_days, now)
    steps = _Steps(progress, 2 * len(places))
    found: dict[str, Found] = {}
    for place in places:
        cell, problem = answers.cell_of(place)
        if cell is None:
            found[place.field_id] = Found(f"field:{place.field_id}", None, problem)
        else:
            answers.expect(place, cell)
        steps.take(1 if cell is not None else 2)
    for cell_id, group in answers.expected():
        for place in group:
            found[place.field_id] = answers.for_place(place, cell_id)
        steps.take(len(group))
    return _on_rows([(place.field_id, found[place.field_id]) for place in places], now, source)


class _Steps:
    def __init__(self, progress: Progress | None, total: int) -> None:
        self._progress, self._total, self._done = progress, total, 0

    def take(self, steps: int) -> None:
        self._done += steps
        if self._progress is not None:
            self._progress(self._done, self._total)


def _on_rows(
    found: Sequence[tuple[str, Found]], now: datetime, source: ForecastSource
) -> FetchedForecast:
    rows: dict[Found, int] = {}
    row_of = {field_id: rows.setdefault(one, len(rows)) for field_id, one in found}
    forecast = on_common_hours(
        [(one.cell_id, one.forecast, one.problem) for one in rows], whole_hour(now)
    )
    return FetchedForecast(
        forecast=forecast,
        row_of=row_of,
        any_known=bool((~np.isnan(forecast.temp_f)).any()),
        requests=source.requests,
    )
