"""Everybody asked in one morning: each cell once per source, whatever it is asked for."""

from datetime import datetime

from forecasts.cell_answers import CellAnswers
from forecasts.cells import Place
from forecasts.memory import ForecastMemory
from forecasts.own_cells import OwnCells
from forecasts.sources import ForecastSource, cells_of


class Asked:
    """What the sources of a morning were asked, kept by source.

    A source may lead some places, stand in for others, and look further for others still: what it
    told of a cell is not asked for again.

    Parameters
    ----------
    memory
        Where cells and answers are.
    cell_max_age_days
        How long a place's cell is taken as known [days].
    now
        The moment of the morning, aware UTC.
    """

    def __init__(self, memory: ForecastMemory, cell_max_age_days: float, now: datetime) -> None:
        self._memory, self._cell_max_age_days, self._now = memory, cell_max_age_days, now
        self._by_source: dict[ForecastSource, tuple[CellAnswers, OwnCells]] = {}
        self._begun: set[ForecastSource] = set()
        self._before = 0

    def answers(self, source: ForecastSource, leads: tuple[Place, ...] = ()) -> CellAnswers:
        """What a source has told so far; ``leads`` are places whose cells it keeps."""
        if source not in self._by_source:
            own = OwnCells(self._memory, cells_of(source))
            told = CellAnswers(source, own, self._cell_max_age_days, self._now)
            self._by_source[source] = (told, own)
        told, own = self._by_source[source]
        own.lead(leads)
        return told

    def begin(self, source: ForecastSource, time_s: float) -> None:
        """Let a source take this long from now on [s]."""
        if source in self._begun:
            self._before += source.requests
        self._begun.add(source)
        source.begin(time_s)

    @property
    def requests(self) -> int:
        """Requests sent so far, by all of them."""
        return self._before + sum(one.requests for one in self._begun)
