"""The archive of forecasts of a worker, which knows what it asked for lately."""

from collections.abc import Callable
from datetime import datetime, timedelta

from storage.database import Database
from storage.forecast_store import ForecastStore


class ForecastsAtWork(ForecastStore):
    """As the archive, and it remembers when each cell was asked for, until the worker ends.

    ``lately`` is how long a cell that was asked for is not asked again; by itself no time at all.

    Parameters
    ----------
    database
        Where forecasts are kept.
    clock
        Tells the time, aware.
    """

    def __init__(self, database: Database, clock: Callable[[], datetime]) -> None:
        super().__init__(database)
        self._clock = clock
        self._asked: dict[str, datetime] = {}
        self.lately = timedelta()

    def note_asked(self, cell_id: str) -> None:
        """Note that a cell was asked for just now, and that its newest answer is kept."""
        self._asked[cell_id] = self._clock()

    def asked_lately(self, cell_id: str) -> bool:
        """Whether a cell was asked for so lately that it is not worth asking again."""
        asked = self._asked.get(cell_id)
        # A clock set back must not make an old question a late one.
        return asked is not None and timedelta() <= self._clock() - asked < self.lately
