"""The morning's forecast for every field: what is new, what is kept, what is not known."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from agronomy.hourly_forecast import HourlyForecast, on_common_hours, whole_hour
from forecasts.cell_answers import CellAnswers, Found
from forecasts.cells import Place
from forecasts.later_rounds import LaterRounds
from forecasts.memory import ForecastMemory
from forecasts.settings import ForecastSettings
from forecasts.sources import ForecastSource

Progress = Callable[[int, int], None]


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
    rounds = rounds or LaterRounds(settings)
    found = _round(places, answers, steps)
    # Without a request sent there is nobody who could tell more in some minutes.
    while source.requests and (pending := answers.worth_asking_again(places)):
        if not rounds.another(lambda: steps.take(0)):
            break
        found |= _round(pending, answers, _Steps(None, 0))
    return _on_rows(
        [(place.field_id, found[place.field_id]) for place in places], now, source, answers.refusal
    )


def _round(places: Sequence[Place], answers: CellAnswers, steps: "_Steps") -> dict[str, Found]:
    """What is known for each place after asking once."""
    found: dict[str, Found] = {}
    groups: dict[str, list[Place]] = {}
    for place in places:
        cell, problem = answers.cell_of(place)
        if cell is None:
            found[place.field_id] = Found(f"field:{place.field_id}", None, problem)
        else:
            answers.expect(place, cell)
            groups.setdefault(cell.id, []).append(place)
        steps.take(1 if cell is not None else 2)
    for cell_id, group in groups.items():
        for place in group:
            found[place.field_id] = answers.for_place(place, cell_id)
        steps.take(len(group))
    return found


class _Steps:
    def __init__(self, progress: Progress | None, total: int) -> None:
        self._progress, self._total, self._done = progress, total, 0

    def take(self, steps: int) -> None:
        self._done += steps
        if self._progress is not None:
            self._progress(self._done, self._total)


def _on_rows(
    found: Sequence[tuple[str, Found]], now: datetime, source: ForecastSource, refusal: str
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
        refusal=refusal,
    )
