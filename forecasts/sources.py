"""Where forecasts come from, by the names that settings use."""

import os
import time
from collections.abc import Sequence
from datetime import datetime
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Protocol, runtime_checkable

from agronomy.hourly_forecast import CellForecast
from farm.grid_cell import GridCell
from forecasts import met_norway, open_meteo
from forecasts.client import GEO_JSON, WeatherClient
from forecasts.errors import ForecastError
from forecasts.folder import PROVIDERS, FolderSource
from forecasts.met_norway import MetNorwaySource
from forecasts.nws import NwsSource
from forecasts.open_meteo import OpenMeteoSource
from forecasts.pacing import Paces
from forecasts.settings import ForecastSettings

#: What the providers of points send.
JSON = "application/json"


class ForecastSource(Protocol):
    """A provider: names the cell of a place, and tells what a cell's sky will do."""

    @property
    def requests(self) -> int:
        """Requests sent since `begin`."""

    def begin(self, total_deadline_s: float) -> None:
        """Start a morning that may take this long in all [s]."""

    def out_of_time(self) -> bool:
        """True when the morning's time is used up."""

    def resolve(self, latitude: float, longitude: float, now: datetime) -> GridCell:
        """The cell of a place; `ForecastError` where there is none."""

    def fetch(
        self, cell: GridCell, last: CellForecast | None, now: datetime
    ) -> CellForecast | None:
        """The newest forecast, None where ``last`` is it; `ForecastError` where there is none."""


@runtime_checkable
class PointSource(Protocol):
    """A provider that may take many cells in one question."""

    def expect(self, cells: Sequence[GridCell]) -> None:
        """Begin a round in which these cells will be asked for."""


@runtime_checkable
class OfProviders(Protocol):
    """A source that names the providers whose cells are its own."""

    @property
    def providers(self) -> tuple[str, ...]:
        """Beginnings of the names of its cells."""


def cells_of(source: ForecastSource) -> tuple[str, ...]:
    """Beginnings of the names of a source's cells, empty where it takes those of all."""
    return source.providers if isinstance(source, OfProviders) else ()


class Sources:
    """The sources of a morning by name, each made once, each host asked at one pace.

    Parameters
    ----------
    settings
        The [forecast] part of the config file.
    config_dir
        Where the config file lies; a relative ``path`` starts here.
    api_key
        Open-Meteo's key, where the settings name one.
    """

    def __init__(
        self, settings: ForecastSettings, config_dir: Path, api_key: str | None = None
    ) -> None:
        self.settings, self.api_key = settings, api_key
        self._config_dir = config_dir
        self._paces = Paces(time.monotonic)
        self._made: dict[str, ForecastSource] = {}

    def named(self, name: str) -> ForecastSource:
        """The source of a name of [forecast], whoever it tells.

        Where recorded answers are replayed, a provider's name stands for its answers in the
        folder, and "folder" for those of all.

        Raises
        ------
        ForecastError
            The folder of recorded answers does not exist, or the key is not there.
        """
        if name not in self._made:
            self._made[name] = self._source(name)
        return self._made[name]

    def _source(self, name: str) -> ForecastSource:
        if self.settings.source == "folder":
            return FolderSource(self.folder(), PROVIDERS if name == "folder" else (name,))
        if name == "open_meteo":
            free, with_key = open_meteo.FREE_ADDRESS, open_meteo.KEY_ADDRESS
            return OpenMeteoSource(self.open_meteo_client(free, with_key), self.api_key)
        if name == "met_norway":
            address = self.settings.met_norway_address or met_norway.ADDRESS
            return MetNorwaySource(self._client(self.settings, address, JSON))
        return NwsSource(self.us_client())

    def us_client(self, tries: int | None = None) -> WeatherClient:
        """A client of the US service, whoever leads; tries for one answer as set if None."""
        told = {} if tries is None else {"tries": tries}
        settings = self.settings.model_copy(update=told)
        return self._client(settings, self.settings.address, GEO_JSON)

    def open_meteo_client(self, free: str, with_key: str) -> WeatherClient:
        """A client of Open-Meteo at one of two addresses, or at the one of the settings."""
        settings, api_key = self.settings, self.api_key
        named = settings.api_key_env or settings.api_key_file
        if named and not api_key:
            raise ForecastError(
                "[forecast] api_key_env: got a key's name but no key, so Open-Meteo cannot be "
                "asked; set it where this runs",
                False,
            )
        per_second = settings.requests_per_second
        if not api_key and not settings.open_meteo_address:
            per_second = min(per_second, open_meteo.FREE_REQUESTS_PER_SECOND)
        slow = settings.model_copy(update={"requests_per_second": per_second})
        address = settings.open_meteo_address or (with_key if api_key else free)
        return self._client(slow, address, JSON)

    def _client(self, settings: ForecastSettings, address: str, media: str) -> WeatherClient:
        return WeatherClient(
            settings, our_version(), address=address, media=media, paces=self._paces
        )

    def folder(self) -> Path:
        """The folder of recorded answers; `ForecastError` where there is none."""
        path = self.settings.path or ""
        folder = self._config_dir / os.path.expanduser(path)
        if not folder.is_dir():
            raise ForecastError(
                f"[forecast] path: got {path!r}, which is no folder in "
                f"{str(self._config_dir)!r}; wanted the folder of recorded answers",
                False,
            )
        return folder


def our_version() -> str:
    """The version told to services, "0" where we are not installed."""
    try:
        return version("warmspell")
    except PackageNotFoundError:
        return "0"
