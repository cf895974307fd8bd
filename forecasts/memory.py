"""What the forecasts room remembers between mornings."""

from typing import Protocol, runtime_checkable

from agronomy.hourly_forecast import CellForecast
from farm.grid_cell import GridCell


class ForecastMemory(Protocol):
    """Cells of places, and the last good answer of each cell, kept whole."""

    def grid_cell(self, latitude: float, longitude: float) -> GridCell | None:
        """The cell kept for a place, or None where none is known."""

    def keep_grid_cell(self, latitude: float, longitude: float, cell: GridCell) -> None:
        """Keep the cell of a place, in place of any kept before."""

    def forget_grid_cell(self, latitude: float, longitude: float) -> None:
        """Forget the cell of a place; nothing happens where none is known."""

    def latest(self, cell_id: str) -> CellForecast | None:
        """The last good answer of a cell, or None where there is none."""

    def keep(self, cell: CellForecast) -> bool:
        """Keep an answer; False, and not kept, where one issued at least as late is kept."""


@runtime_checkable
class RemembersAsking(Protocol):
    """A memory that also knows which cells were asked for lately."""

    def note_asked(self, cell_id: str) -> None:
        """Note that a cell was asked for just now, and that its newest answer is kept."""

    def asked_lately(self, cell_id: str) -> bool:
        """Whether a cell was asked for so lately that it is not worth asking again."""


class MemoryInProcess:
    """A memory that lasts as long as the process."""

    def __init__(self) -> None:
        self._cells: dict[tuple[float, float], GridCell] = {}
        self._forecasts: dict[str, CellForecast] = {}

    def grid_cell(self, latitude: float, longitude: float) -> GridCell | None:
        """The cell kept for a place, or None where none is known."""
        return self._cells.get(_spot(latitude, longitude))

    def keep_grid_cell(self, latitude: float, longitude: float, cell: GridCell) -> None:
        """Keep the cell of a place."""
        self._cells[_spot(latitude, longitude)] = cell

    def forget_grid_cell(self, latitude: float, longitude: float) -> None:
        """Forget the cell of a place."""
        self._cells.pop(_spot(latitude, longitude), None)

    def latest(self, cell_id: str) -> CellForecast | None:
        """The last good answer of a cell."""
        return self._forecasts.get(cell_id)

    def keep(self, cell: CellForecast) -> bool:
        """Keep an answer unless one issued at least as late, or of known issue time, is kept."""
        kept = self._forecasts.get(cell.cell_id)
        known = kept.issued_utc if kept is not None else None
        if known is not None and (cell.issued_utc is None or cell.issued_utc <= known):
            return False
        self._forecasts[cell.cell_id] = cell
        return True


def _spot(latitude: float, longitude: float) -> tuple[float, float]:
    return round(latitude, 4), round(longitude, 4)
