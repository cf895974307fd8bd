"""A source that cannot be asked until a setting is mended, told by the fields it is to tell."""

from datetime import datetime

from agronomy.hourly_forecast import CellForecast
from farm.grid_cell import GridCell
from forecasts.errors import ForecastError
from forecasts.open_meteo import PROVIDER
from forecasts.square import lattice_cell


class OpenMeteoWithoutKey:
    """Open-Meteo where its key is named but not there: only its own fields are not known.

    Its cells are named all the same, so that their last good answers stand as ever.
    """

    providers = (PROVIDER,)
    requests = 0

    def __init__(self, why: ForecastError) -> None:
        self._why = why

    def begin(self, total_deadline_s: float) -> None:
        """Start a morning."""

    def out_of_time(self) -> bool:
        """Never."""
        return False

    def resolve(self, latitude: float, longitude: float, now: datetime) -> GridCell:
        """The point of the lattice nearest to a place."""
        return lattice_cell(PROVIDER, latitude, longitude, now)

    def fetch(
        self, cell: GridCell, last: CellForecast | None, now: datetime
    ) -> CellForecast | None:
        """`ForecastError`, which names the setting."""
        raise ForecastError(self._why.message, False, setting="api_key_env")
