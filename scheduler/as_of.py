"""A past morning's sky: what the archive knew by then, with nobody asked."""

import logging
from dataclasses import dataclass
from datetime import datetime

from agronomy.hourly_forecast import CellForecast
from farm.grid_cell import GridCell
from forecasts.cells import Place
from forecasts.errors import ForecastError
from forecasts.square import lattice_cell
from storage.errors import StorageError
from storage.forecast_store import ForecastStore
from storage.stores import Stores

#: Providers whose cells follow from a place alone.
OF_POINTS = ("open_meteo", "met_norway")

log = logging.getLogger("warmspell.morning")


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
    """A source that sends no request: the forecast of a past morning cannot be asked for.

    Parameters
    ----------
    provider
        Whose archived answers it tells; those of any where not given.
    """

    requests = 0

    def __init__(self, provider: str | None = None) -> None:
        self.providers = () if provider is None else (provider,)
        self._cells: dict[tuple[float, float], str] = {}

    def knows(self, place: Place, cell_id: str) -> None:
        """Note the cell that a place's call stood on, if it is one of this provider's."""
        if cell_id.partition(":")[0] in self.providers:
            self._cells[(place.latitude, place.longitude)] = cell_id

    def begin(self, total_deadline_s: float) -> None:
        """Start a morning."""

    def out_of_time(self) -> bool:
        """Never."""
        return False

    def resolve(self, latitude: float, longitude: float, now: datetime) -> GridCell:
        """The cell a call stood on, or that follows from the place alone; no cell is asked for."""
        noted = self._cells.get((latitude, longitude))
        if noted is not None:
            return GridCell(id=noted, resolved_utc=now)
        for provider in self.providers:
            if provider in OF_POINTS:
                return lattice_cell(provider, latitude, longitude, now)
        raise ForecastError("its forecast cell is not kept, and a past morning asks nobody", False)

    def fetch(
        self, cell: GridCell, last: CellForecast | None, now: datetime
    ) -> CellForecast | None:
        """What the archive held; `ForecastError` where it held nothing."""
        if last is None:
            raise ForecastError("no forecast of its cell had been kept by then", False)
        return None


def cells_of_plan(stores: Stores, now: datetime) -> dict[str, str]:
    """The cell that each field's call stood on in the plan made last by then, empty without one."""
    try:
        plan = stores.plans.made_by(now)
    except StorageError as fault:
        log.warning("the plan made last by %s cannot be read: %s", now, fault)
        return {}
    cells = plan.inputs.get("cells") if plan is not None else None
    return dict(cells) if isinstance(cells, dict) else {}
