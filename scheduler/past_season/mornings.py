"""Recorded issues, each read as the morning of its moment reads it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from config.farm_config import FarmConfig
from dispatch.outlook import Outlook, field_outlook
from farm.records import Visit
from forecasts.cells import Place
from forecasts.fetch import FetchedForecast, fetch_hourly
from forecasts.folder import FolderSource
from forecasts.memory import MemoryInProcess
from scheduler.past_season.issues import Issue


@dataclass(frozen=True, eq=False)
class Morning:
    """One issue as a morning reads it."""

    now: datetime
    fetched: FetchedForecast
    outlook: Outlook
    visits: tuple[Visit, ...]


def read_mornings(
    config: FarmConfig,
    issues: Sequence[Issue],
    visits_by: Callable[[datetime], tuple[Visit, ...]],
) -> tuple[list[Morning], list[str]]:
    """Every issue read as a morning reads it, the last good answers of those before at hand."""
    places = [Place(one.id, one.latitude, one.longitude) for one in config.fields]
    memory, newest = MemoryInProcess(), None
    mornings: list[Morning] = []
    notes: list[str] = []
    for issue in issues:
        fetched = fetch_hourly(
            places,
            issue.moment,
            source=FolderSource(issue.folder),
            memory=memory,
            settings=config.settings.forecast,
        )
        if not fetched.any_known:
            notes.append(f"{issue.name}: tells nothing of any field, so that morning is left out")
            continue
        told = [one for one in fetched.forecast.issued_utc if one is not None]
        faults = [one for one in fetched.forecast.problem if one]
        if faults:
            cells = len(fetched.forecast.problem)
            notes.append(f"{issue.name}: {len(faults)} of {cells} cells: {faults[0]}")
        elif newest is not None and told and max(told) <= newest:
            notes.append(f"{issue.name}: its answers are not newer than those of the issue before")
        newest = max([*told, *([newest] if newest else [])], default=None)
        outlook = field_outlook(fetched.forecast, fetched.row_of, config.fields, config.rules)
        mornings.append(Morning(issue.moment, fetched, outlook, visits_by(issue.moment)))
    return mornings, notes
