"""Recorded answers of providers that answer for points, replayed byte for byte from a folder.

The folder holds ``open_meteo_<lat>,<lon>.json`` and ``met_norway_<lat>,<lon>.json``, named for the
point that was asked for, and ``open_meteo_runs_<run>.json`` as Open-Meteo told it for each of
`forecasts.open_meteo_runs.RUNS`. Without these the age of its answers is not known. Members of the
ensemble are ``open_meteo_ensemble_<lat>,<lon>.json`` and their run is
``open_meteo_runs_ncep_gefs025.json``.
"""

import re
from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path

from agronomy.hourly_forecast import CellForecast
from farm.grid_cell import GridCell
from forecasts import met_norway_forecast, open_meteo_forecast
from forecasts.cells import CENTRE_MAX_OTHERS_KM
from forecasts.errors import ForecastError
from forecasts.open_meteo_ensemble import EnsembleForecast, read_ensemble
from forecasts.open_meteo_runs import ENSEMBLE_RUN, RUNS, read_run
from forecasts.square import Spot, apart_km, spot_of

#: Files with members of an ensemble begin with this.
ENSEMBLE = "open_meteo_ensemble"

_FILE = re.compile(
    r"(open_meteo|open_meteo_ensemble|met_norway)_(-?\d{1,3}(?:\.\d+)?,-?\d{1,3}(?:\.\d+)?)\.json"
)


class RecordedPoints:
    """Finds and reads what was recorded for points.

    Parameters
    ----------
    folder
        Where the files are.
    read
        Gives the bytes of a file by its name; `ForecastError` where there is none.
    """

    def __init__(self, folder: Path, read: Callable[[str], bytes]) -> None:
        self._folder, self._read = folder, read
        self._found: dict[str, dict[str, Spot]] | None = None

    def begin(self) -> None:
        """Start a morning; files may have changed since the last."""
        self._found = None

    def cell_near(self, provider: str, latitude: float, longitude: float) -> str | None:
        """The cell of the nearest point a provider's answer was recorded for, if near enough."""
        place = Spot(latitude, longitude)
        near = [(apart_km(place, spot), cell_id) for cell_id, spot in self._of(provider).items()]
        distance_km, cell_id = min(near, default=(float("inf"), ""))
        return cell_id if distance_km <= CENTRE_MAX_OTHERS_KM else None

    def fetch(self, cell: GridCell, now: datetime) -> CellForecast:
        """The forecast recorded for a cell; `ForecastError` where there is none."""
        provider, _, name = cell.id.partition(":")
        spot = spot_of(name)
        if spot is None:
            raise ForecastError(
                f"the cell {cell.id[:60]!r} is not one of a point", False, gone=True
            )
        body = self._read(f"{provider}_{name}.json")
        if provider == "met_norway":
            return met_norway_forecast.read_forecast(body, cell_id=cell.id, now=now)
        return open_meteo_forecast.read_forecast(
            _nearest(body, spot), cell_id=cell.id, now=now, issued_utc=self._issued_utc(RUNS)
        )

    def members(self, latitude: float, longitude: float, now: datetime) -> EnsembleForecast:
        """The members recorded nearest to a place; `ForecastError` where there are none."""
        cell_id = self.cell_near(ENSEMBLE, latitude, longitude)
        if cell_id is None:
            raise ForecastError("no recorded members are for this place", False, gone=True)
        name = cell_id.partition(":")[2]
        body = self._read(f"{ENSEMBLE}_{name}.json")
        point = _nearest(body, Spot(latitude, longitude))
        issued_utc = self._issued_utc((ENSEMBLE_RUN,))
        return read_ensemble(point, cell_id=cell_id, now=now, issued_utc=issued_utc)

    def _of(self, provider: str) -> dict[str, Spot]:
        """The points recorded for a provider, by cell."""
        if self._found is None:
            self._found = {}
            for file in sorted(self._folder.iterdir()):
                match = _FILE.fullmatch(file.name)
                spot = spot_of(match[2]) if match else None
                if match and spot:
                    self._found.setdefault(match[1], {})[f"{match[1]}:{match[2]}"] = spot
        return self._found.get(provider, {})

    def _issued_utc(self, runs: Sequence[str]) -> datetime | None:
        try:
            return min(read_run(self._read(f"open_meteo_runs_{one}.json")) for one in runs)
        except ForecastError:
            return None


def _nearest(body: bytes, spot: Spot) -> open_meteo_forecast.PointAnswer:
    points = open_meteo_forecast.read_points(body)
    if not points:
        raise ForecastError("Open-Meteo told no point", False)
    return min(points, key=lambda one: apart_km(spot, Spot(one.latitude, one.longitude)))
