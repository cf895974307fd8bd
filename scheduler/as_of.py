"""A past morning's sky: what the archive knew by then, with nobody asked."""

from dataclasses import dataclass
from datetime import datetime

from agronomy.hourly_forecast import CellForecast
from farm.grid_cell import GridCell
from forecasts.errors import ForecastError
from storage.forecast_store import ForecastStore


@dataclass(frozen=True)
class ArchiveAsOf:
    """The archive as it stood at a moment: a memory that keeps nothing new."""

    store: ForecastStore
    moment: datetime

    def grid_cell(self, latitude: float, longitude: float) -> GridCell | None:
        """The cell kept for a place, as known today."""
        return self.store.grid_cell(latitude, longitude)

    def keep_grid_cell(self, latitude: float, longitude: float, cell: GridCell) -> None:
        """Nothing: the past is not changed."""

    def forget_grid_cell(self, latitude: float, longitude: float) -> None:
        """Nothing: the past is not changed."""

    def latest(self, cell_id: str) -> CellForecast | None:
        """The newest forecast of a cell that had been fetched by then."""
        return self.store.latest_fetched_by(cell_id, self.moment)

    def keep(self, cell: CellForecast) -> bool:
        """Nothing: what it gave is kept already."""
        return False


class NobodyAsked:
    """A source that sends no request: the forecast of a past morning cannot be asked for."""

    requests = 0

    def begin(self, total_deadline_s: float) -> None:
        """Start a morning."""

    def out_of_time(self) -> bool:
        """Never."""
        return False

    def resolve(self, latitude: float, longitude: float, now: datetime) -> GridCell:
        """No cell is asked for."""
        raise ForecastError("its forecast cell is not kept, and a past morning asks nobody", False)

    def fetch(
        self, cell: GridCell, last: CellForecast | None, now: datetime
    ) -> CellForecast | None:
        """What the archive held; `ForecastError` where it held nothing."""
        if last is None:
            raise ForecastError("no forecast of its cell had been kept by then", False)
        return None
