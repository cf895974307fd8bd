"""Where forecasts come from, by settings: who leads, and who stands in."""

import os
from collections.abc import Sequence
from datetime import datetime
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Protocol, runtime_checkable

from agronomy.hourly_forecast import CellForecast
from farm.grid_cell import GridCell
from forecasts import met_norway, open_meteo
from forecasts.client import WeatherClient
from forecasts.errors import ForecastError
from forecasts.folder import FolderSource
from forecasts.met_norway import MetNorwaySource
from forecasts.nws import NwsSource
from forecasts.open_meteo import OpenMeteoSource
from forecasts.settings import ForecastSettings
from forecasts.transport import TransportSource

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


def make_source(
    settings: ForecastSettings, config_dir: Path, api_key: str | None = None
) -> ForecastSource:
    """The source that leads.

    Parameters
    ----------
    settings
        The [forecast] part of the config file.
    config_dir
        Where the config file lies; a relative ``path`` starts here.
    api_key
        Open-Meteo's key, where the settings name one.

    Raises
    ------
    ForecastError
        The folder of recorded answers does not exist, or the key is not there.
    """
    if settings.source == "folder":
        return FolderSource(folder_of(settings, config_dir))
    return _asked(settings.source, settings, api_key)


def make_stand_in(
    settings: ForecastSettings, config_dir: Path, api_key: str | None = None
) -> ForecastSource | None:
    """The source that stands in, None where the settings name none; as `make_source`.

    Where recorded answers are replayed it is that provider's answers in the same folder.
    """
    if settings.stand_in is None:
        return None
    if settings.source == "folder":
        return FolderSource(folder_of(settings, config_dir), (settings.stand_in,))
    return _asked(settings.stand_in, settings, api_key)


def cells_of(source: ForecastSource) -> tuple[str, ...]:
    """Beginnings of the names of a source's cells, empty where it takes those of all."""
    if isinstance(source, FolderSource):
        return source.providers
    return (source.provider,) if isinstance(source, TransportSource) else ()


def _asked(name: str, settings: ForecastSettings, api_key: str | None) -> ForecastSource:
    if name == "open_meteo":
        return _open_meteo(settings, api_key)
    if name == "met_norway":
        address = settings.met_norway_address or met_norway.ADDRESS
        return MetNorwaySource(WeatherClient(settings, our_version(), address=address, media=JSON))
    return NwsSource(WeatherClient(settings, our_version()))


def _open_meteo(settings: ForecastSettings, api_key: str | None) -> OpenMeteoSource:
    free, with_key = open_meteo.FREE_ADDRESS, open_meteo.KEY_ADDRESS
    return OpenMeteoSource(open_meteo_client(settings, api_key, free, with_key), api_key)


def open_meteo_client(
    settings: ForecastSettings, api_key: str | None, free: str, with_key: str
) -> WeatherClient:
    """A client of Open-Meteo at one of two addresses, or at the one of the settings."""
    named = settings.api_key_env or settings.api_key_file
    if named and not api_key:
        raise ForecastError(
            "[forecast] api_key_env: got a key's name but no key, so Open-Meteo cannot be asked; "
            "set it where this runs",
            False,
        )
    per_second = settings.requests_per_second
    if not api_key and not settings.open_meteo_address:
        per_second = min(per_second, open_meteo.FREE_REQUESTS_PER_SECOND)
    return WeatherClient(
        settings.model_copy(update={"requests_per_second": per_second}),
        our_version(),
        address=settings.open_meteo_address or (with_key if api_key else free),
        media=JSON,
    )


def folder_of(settings: ForecastSettings, config_dir: Path) -> Path:
    """The folder of recorded answers; `ForecastError` where there is none."""
    folder = config_dir / os.path.expanduser(settings.path or "")
    if not folder.is_dir():
        raise ForecastError(
            f"[forecast] path: got {settings.path!r}, which is no folder in {str(config_dir)!r}; "
            "wanted the folder of recorded answers",
            False,
        )
    return folder


def our_version() -> str:
    """The version told to services, "0" where we are not installed."""
    try:
        return version("warmspell")
    except PackageNotFoundError:
        return "0"
