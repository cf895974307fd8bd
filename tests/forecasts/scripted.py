"""A source that says what a test wrote down, and fields to ask it for."""

from collections.abc import Sequence
from typing import Any

from forecasts.cells import Place
from forecasts.errors import ForecastError
from forecasts.fetch import FetchedForecast, fetch_hourly
from forecasts.memory import ForecastMemory, MemoryInProcess
from forecasts.nws import NwsSource
from forecasts.settings import ForecastSettings
from forecasts.transport import Answer
from tests.forecasts.answers import LATITUDE, LONGITUDE, NOW, as_bytes

HOME = Place("home", LATITUDE, LONGITUDE)
NEXT_DOOR = Place("next-door", LATITUDE + 0.005, LONGITUDE + 0.005)
FAR = Place("far", LATITUDE, LONGITUDE + 1)

POINT_HOME = "/points/34.75,-101.75"
POINT_NEXT_DOOR = "/points/34.755,-101.745"
POINT_FAR = "/points/34.75,-100.75"
CELL = "/gridpoints/XYZ/12,34"
CELL_FAR = "/gridpoints/XYZ/50,34"
CELL_MOVED = "/gridpoints/XYZ/13,34"

SETTINGS = ForecastSettings(contact="x@y.example")


class Script:
    """A transport with answers by path: a dict, an exception, None for "not modified".

    A list is used up one by one; its last item stays.
    """

    def __init__(self, answers: dict[str, Any], budget: int = 10_000) -> None:
        self.answers = answers
        self._budget = budget
        self.asked: list[tuple[str, str | None]] = []

    @property
    def requests(self) -> int:
        return len(self.asked)

    @property
    def paths(self) -> list[str]:
        return [path for path, _ in self.asked]

    def begin(self, total_deadline_s: float) -> None:
        self.asked.clear()

    def out_of_time(self) -> bool:
        return len(self.asked) >= self._budget

    def get(self, path: str, if_modified_since: str | None = None) -> Answer:
        self.asked.append((path, if_modified_since))
        told = self.answers.get(path, gone())
        if isinstance(told, list):
            told = told.pop(0) if len(told) > 1 else told[0]
        if isinstance(told, Exception):
            raise told
        return Answer(None if told is None else as_bytes(told), "Tue, 06 Oct 2026 10:00:00 GMT")


def gone() -> ForecastError:
    return ForecastError("no answer from the weather service (404 Not Found)", False, gone=True)


def down() -> ForecastError:
    return ForecastError("no answer from the weather service (503 Forecast Grid Expired)", True)


def morning(
    script: Script,
    places: Sequence[Place] = (HOME,),
    memory: ForecastMemory | None = None,
    now=NOW,
    progress=None,
) -> FetchedForecast:
    return fetch_hourly(
        places,
        now,
        source=NwsSource(script),
        memory=MemoryInProcess() if memory is None else memory,
        settings=SETTINGS,
        progress=progress,
    )


def problem_of(fetched: FetchedForecast, place: Place = HOME) -> str:
    return fetched.forecast.problem[fetched.row_of[place.field_id]]


def temp_f(fetched: FetchedForecast, place: Place = HOME) -> float:
    """Temperature of the first hour."""
    return float(fetched.forecast.temp_f[fetched.row_of[place.field_id], 0])
