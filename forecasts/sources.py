"""Where forecasts come from, by settings."""

import os
from datetime import datetime
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Protocol

from agronomy.hourly_forecast import CellForecast
from farm.grid_cell import GridCell
from forecasts.client import WeatherClient
from forecasts.errors import ForecastError
from forecasts.folder import FolderSource
from forecasts.nws import NwsSource
from forecasts.settings import ForecastSettings


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


def make_source(settings: ForecastSettings, config_dir: Path) -> ForecastSource:
    """The source the settings name.

    Parameters
    ----------
    settings
        The [forecast] part of the config file.
    config_dir
        Where the config file lies; a relative ``path`` starts here.

    Raises
    ------
    ForecastError
        The folder of recorded answers does not exist.
    """
    if settings.source == "nws":
        return NwsSource(WeatherClient(settings, _our_version()))
    folder = config_dir / os.path.expanduser(settings.path or "")
    if not folder.is_dir():
        raise ForecastError(
            f"[forecast] path: got {settings.path!r}, which is no folder in {str(config_dir)!r}; "
            "wanted the folder of recorded answers",
            False,
        )
    return FolderSource(folder)


def _our_version() -> str:
    try:
        return version("warmspell")
    except PackageNotFoundError:
        return "0"
