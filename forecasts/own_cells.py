"""The memory of cells as one source may use it, where several providers share the memory."""

from collections.abc import Iterable

from agronomy.hourly_forecast import CellForecast
from farm.grid_cell import GridCell
from forecasts.cells import Place
from forecasts.memory import ForecastMemory, RemembersAsking


class OwnCells:
    """A memory that hands out only cells of the providers named, and keeps them where they lead.

    A place has one cell in the memory: that of the source which leads there. A source that stands
    in neither takes it for its own nor puts its own in its place.

    Parameters
    ----------
    memory
        Where cells and answers are.
    providers
        Beginnings of the names of cells that are handed out; empty for all.
    """

    def __init__(self, memory: ForecastMemory, providers: tuple[str, ...]) -> None:
        self._memory, self._providers = memory, providers
        self._led: set[tuple[float, float]] = set()

    def lead(self, places: Iterable[Place]) -> None:
        """Keep the cells of these places."""
        self._led |= {(one.latitude, one.longitude) for one in places}

    def grid_cell(self, latitude: float, longitude: float) -> GridCell | None:
        """The cell kept for a place, None where none is known or it is another provider's."""
        kept = self._memory.grid_cell(latitude, longitude)
        if kept is None or not self._providers:
            return kept
        return kept if kept.id.partition(":")[0] in self._providers else None

    def keep_grid_cell(self, latitude: float, longitude: float, cell: GridCell) -> None:
        """Keep the cell of a place."""
        if (latitude, longitude) in self._led:
            self._memory.keep_grid_cell(latitude, longitude, cell)

    def forget_grid_cell(self, latitude: float, longitude: float) -> None:
        """Forget the cell of a place."""
        if (latitude, longitude) in self._led:
            self._memory.forget_grid_cell(latitude, longitude)

    def latest(self, cell_id: str) -> CellForecast | None:
        """The last good answer of a cell."""
        return self._memory.latest(cell_id)

    def keep(self, cell: CellForecast) -> bool:
        """Keep an answer."""
        return self._memory.keep(cell)

    def note_asked(self, cell_id: str) -> None:
        """Note that a cell was asked for just now, where the memory remembers that."""
        if isinstance(self._memory, RemembersAsking):
            self._memory.note_asked(cell_id)

    def asked_lately(self, cell_id: str) -> bool:
        """Whether the memory remembers that a cell was asked for lately."""
        return isinstance(self._memory, RemembersAsking) and self._memory.asked_lately(cell_id)
