"""Recorded answers of weather services, replayed byte for byte from a folder.

The folder holds ``points_<lat>,<lon>.json``, coordinates written as in the service's own short
addresses (34.75, not 34.7500), and ``gridpoints_<office>_<x>,<y>.json``. A file that is not there
is what a 404 is on the network. A place without a points file lies in the cell whose recorded
outline holds it, so that a folder of gridpoint answers alone is enough. Where the US service told
nothing for a place, the answers of Open-Meteo and then of MET Norway are looked through, whose
names are those of `forecasts.folder_points`. Alerts are those of `forecasts.recorded_alerts`.
"""

import re
from datetime import datetime
from pathlib import Path

from agronomy.hourly_forecast import CellForecast
from farm.grid_cell import GridCell
from forecasts.cells import OUTLINE_TOLERANCE_KM, Outline, outline_distance_km
from forecasts.errors import ForecastError
from forecasts.folder_points import RecordedPoints
from forecasts.nws import NwsSource
from forecasts.nws_answer import read_outline
from forecasts.transport import Answer

#: Largest file read [bytes], as on the network.
MOST_BYTES = 5_000_000

_GRIDPOINTS = re.compile(r"gridpoints_([A-Z0-9]{2,5})_(\d{1,5}),(\d{1,5})\.json", re.ASCII)


class FolderTransport:
    """Reads answers from a folder. No request is ever sent, and time never runs out."""

    requests = 0

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def begin(self, total_deadline_s: float) -> None:
        """Start a morning."""

    def out_of_time(self) -> bool:
        """Never."""
        return False

    def get(self, path: str, if_modified_since: str | None = None) -> Answer:
        """The recorded answer at a path."""
        name = path.strip("/").replace("/active?point=", "/").replace("/", "_") + ".json"
        return Answer(self.read(name))

    def read(self, name: str) -> bytes:
        """The bytes of one file."""
        file = self.folder / name
        try:
            if file.stat().st_size > MOST_BYTES:
                raise ForecastError(f"the recorded answer {name} is larger than 5 MB", False)
            return file.read_bytes()
        except FileNotFoundError as error:
            raise ForecastError(
                f"the folder of recorded answers has no {name}", False, gone=True
            ) from error
        except OSError as error:
            raise ForecastError(
                f"the recorded answer {name} cannot be read ({error.strerror})", False
            ) from error


#: Whose answers are looked through for a place, one after the other.
PROVIDERS = ("nws", "open_meteo", "met_norway")


class FolderSource:
    """All providers over a folder, with places found by what was recorded for them.

    Parameters
    ----------
    folder
        Where the files are.
    providers
        Whose files are looked at, one after the other.
    """

    def __init__(self, folder: Path, providers: tuple[str, ...] = PROVIDERS) -> None:
        self._transport = FolderTransport(folder)
        self._provider = NwsSource(self._transport)
        self._points = RecordedPoints(folder, self._transport.read)
        self._outlines: dict[str, Outline] | None = None
        self.providers = providers

    @property
    def requests(self) -> int:
        """Always 0."""
        return self._provider.requests

    def begin(self, total_deadline_s: float) -> None:
        """Start a morning; files may have changed since the last."""
        self._outlines = None
        self._points.begin()

    def out_of_time(self) -> bool:
        """Never."""
        return False

    def resolve(self, latitude: float, longitude: float, now: datetime) -> GridCell:
        """The cell of a place by its points file, by the outlines there are, or by points."""
        missing = ForecastError("no recorded answer is for this place", False, gone=True)
        for provider in self.providers:
            if provider != "nws":
                cell_id = self._points.cell_near(provider, latitude, longitude)
                if cell_id is not None:
                    return GridCell(id=cell_id, resolved_utc=now)
                continue
            try:
                return self._resolve_nws(latitude, longitude, now)
            except ForecastError as error:
                missing = error
                if not error.gone:
                    raise
        raise missing

    def fetch(
        self, cell: GridCell, last: CellForecast | None, now: datetime
    ) -> CellForecast | None:
        """The cell's recorded forecast."""
        if cell.id.partition(":")[0] in ("open_meteo", "met_norway"):
            return self._points.fetch(cell, now)
        return self._provider.fetch(cell, last, now)

    def _resolve_nws(self, latitude: float, longitude: float, now: datetime) -> GridCell:
        try:
            return self._provider.resolve(latitude, longitude, now)
        except ForecastError as error:
            if not error.gone:
                raise
            cell_id = self._cell_around(latitude, longitude)
            if cell_id is None:
                raise ForecastError(
                    f"{error.message}, and no gridpoints file is for this place", False, gone=True
                ) from error
        return GridCell(id=cell_id, resolved_utc=now)

    def _cell_around(self, latitude: float, longitude: float) -> str | None:
        if self._outlines is None:
            self._outlines = self._read_outlines()
        near = [
            (outline_distance_km(outline, latitude, longitude), cell_id)
            for cell_id, outline in self._outlines.items()
            if _close(outline, latitude)
        ]
        distance_km, cell_id = min(near, default=(float("inf"), ""))
        return cell_id if distance_km <= OUTLINE_TOLERANCE_KM else None

    def _read_outlines(self) -> dict[str, Outline]:
        outlines: dict[str, Outline] = {}
        for file in sorted(self._transport.folder.iterdir()):
            match = _GRIDPOINTS.fullmatch(file.name)
            if match is None:
                continue
            try:
                outline = read_outline(self._transport.read(file.name))
            except ForecastError:
                continue  # its own fields hear about it when the file is asked for
            if outline:
                outlines[f"nws:{match[1]}/{int(match[2])},{int(match[3])}"] = outline
        return outlines


def _close(outline: Outline, latitude: float) -> bool:
    """A cheap first look: within the outline's rows, give or take a hundredth of a degree."""
    rows = [row for _, row in outline]
    return min(rows) - 0.01 <= latitude <= max(rows) + 0.01
