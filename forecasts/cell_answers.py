"""One cell at a time: ask, judge, keep, and fall back on the last good answer."""

import logging
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from agronomy.hourly_forecast import CellForecast
from farm.grid_cell import GridCell
from forecasts.cells import Place, cell_holds
from forecasts.errors import ForecastError
from forecasts.issue_time import AHEAD_MIN
from forecasts.last_good import no_new_forecast, why_not_usable
from forecasts.own_cells import OwnCells
from forecasts.sources import ForecastSource

logger = logging.getLogger(__name__)

OUT_OF_TIME = "the time for asking ran out before this cell's turn"
ANOTHER_PLACE = "the weather service's answer is for another place"


@dataclass(frozen=True)
class Found:
    """What is known for a cell: a forecast or none, and what is wrong in plain words or ""."""

    cell_id: str
    forecast: CellForecast | None
    problem: str


@dataclass(frozen=True)
class _Asked:
    """How a cell answered.

    ``doubtful`` where there is no such cell, or it lies elsewhere; ``again`` where it may answer
    another time.
    """

    found: Found
    doubtful: bool = False
    again: bool = False


class CellAnswers:
    """The cells asked this morning. Nothing that goes wrong with one leaves these methods.

    ``refusal`` is why the service refuses to talk to us at all, "" where it does talk.
    """

    def __init__(
        self,
        source: ForecastSource,
        memory: OwnCells,
        cell_max_age_days: float,
        now: datetime,
    ) -> None:
        self._source, self._memory, self._now = source, memory, now
        self._cell_max_age = timedelta(days=cell_max_age_days)
        self._cells: dict[str, GridCell] = {}
        self._places: dict[str, list[Place]] = {}
        self._asked: dict[str, _Asked] = {}
        self._unplaced: set[str] = set()
        self._over: Callable[[], bool] = lambda: False
        self.refusal = ""

    def take_turn(self, over: Callable[[], bool]) -> None:
        """Begin a turn, which ends, before the source's own time does, where ``over`` says so."""
        self._over = over

    def unasked(self, cells: Iterable[GridCell]) -> list[GridCell]:
        """Those of the cells that nothing has been heard of yet."""
        return [one for one in cells if one.id not in self._asked]

    def expect(self, place: Place, cell: GridCell) -> None:
        """Note that a place maps to a cell."""
        self._cells.setdefault(cell.id, cell)
        sharing = self._places.setdefault(cell.id, [])
        if place not in sharing:
            sharing.append(place)

    def worth_asking_again(self, places: Sequence[Place]) -> list[Place]:
        """Those of the places whose cell, or whose cell's forecast, may be known another time."""
        later = [self._places[cell_id] for cell_id, asked in self._asked.items() if asked.again]
        held = {place for sharing in later for place in sharing}
        return [one for one in places if one in held or one.field_id in self._unplaced]

    def forget_misses(self) -> None:
        """Forget the cells that may answer another time, so that they are asked anew."""
        self._asked = {name: asked for name, asked in self._asked.items() if not asked.again}

    def cell_of(self, place: Place) -> tuple[GridCell | None, str]:
        """The cell of a place, from memory while fresh, else asked for; or why it is not known.

        An old cell still serves when asking fails: the outline of its answer is checked anyway.
        """
        kept: GridCell | None = None
        self._unplaced.discard(place.field_id)
        try:
            kept = self._memory.grid_cell(place.latitude, place.longitude)
            if kept and timedelta(0) <= self._now - kept.resolved_utc <= self._cell_max_age:
                return kept, ""
            return self._resolve(place), ""
        except Exception as error:
            if kept is None and self._noted(error):
                self._unplaced.add(place.field_id)
            return kept, _plain(error)

    def for_place(self, place: Place, cell_id: str) -> Found:
        """What is known for a place that maps to a cell.

        A place the answer is not for, or whose cell is gone, has its cell asked for once more.
        """
        asked = self._ask(cell_id)
        fits = asked.found.forecast is None or _holds(asked.found.forecast, place)
        if fits and not asked.doubtful:
            return asked.found
        return self._again(place, cell_id, asked.found if fits else None)

    def _again(self, place: Place, old_id: str, fallback: Found | None) -> Found:
        """Ask for the place's cell anew, and for that cell's forecast where it is another."""
        unknown = Found(f"field:{place.field_id}", None, ANOTHER_PLACE)
        try:
            self._memory.forget_grid_cell(place.latitude, place.longitude)
            cell = self._resolve(place)
        except Exception as error:
            return fallback or Found(unknown.cell_id, None, f"{ANOTHER_PLACE}; {_plain(error)}")
        if cell.id == old_id:
            return fallback or unknown
        self.expect(place, cell)
        found = self._ask(cell.id).found
        if found.forecast is None:
            return fallback if fallback and fallback.forecast else found
        return found if _holds(found.forecast, place) else unknown

    def _resolve(self, place: Place) -> GridCell:
        self._stop_where_vain()
        cell = self._source.resolve(place.latitude, place.longitude, self._now)
        self._memory.keep_grid_cell(place.latitude, place.longitude, cell)
        return cell

    def _ask(self, cell_id: str) -> _Asked:
        if cell_id not in self._asked:
            self._asked[cell_id] = self._ask_now(self._cells[cell_id])
        return self._asked[cell_id]

    def _ask_now(self, cell: GridCell) -> _Asked:
        last: CellForecast | None = None
        try:
            last = self._last_good(cell.id)
            if last is not None and self._memory.asked_lately(cell.id):
                return _Asked(Found(cell.id, last, ""))
            self._stop_where_vain()
            new = self._source.fetch(cell, last, self._now) or last
            if new is None:
                raise ForecastError("the weather service sent no forecast", True)
            return self._judged(cell, new, last)
        except Exception as error:
            why = no_new_forecast(last, cell.time_zone, _plain(error))
            gone = isinstance(error, ForecastError) and error.gone
            return _Asked(Found(cell.id, last, why), gone, self._noted(error))

    def _stop_where_vain(self) -> None:
        """`ForecastError` where a question could have no answer."""
        if self.refusal:
            raise ForecastError(self.refusal, False)
        if self._source.out_of_time() or self._over():
            raise ForecastError(OUT_OF_TIME, True)

    def _judged(self, cell: GridCell, new: CellForecast, last: CellForecast | None) -> _Asked:
        elsewhere = not any(_holds(new, place) for place in self._places[cell.id])
        refused = ANOTHER_PLACE if elsewhere else why_not_usable(new, last)
        if refused:
            logger.warning("forecast of cell %s refused: %s", cell.id, refused)
            why = no_new_forecast(last, cell.time_zone, refused)
            return _Asked(Found(cell.id, last, why), elsewhere)
        return _Asked(Found(cell.id, new, self._kept(new)))

    def _kept(self, new: CellForecast) -> str:
        """Keep an answer whose age is known; a store that fails costs nobody the forecast."""
        try:
            if new.issued_utc is not None:
                self._memory.keep(new)
                self._memory.note_asked(new.cell_id)
        except Exception as error:
            return f"the forecast could not be kept for later; {_plain(error)}"
        return ""

    def _noted(self, error: Exception) -> bool:
        """Take note of a refusal; True where the same question may be answered later."""
        if not isinstance(error, ForecastError):
            return False
        if error.setting:
            self.refusal = error.message
        return error.recoverable

    def _last_good(self, cell_id: str) -> CellForecast | None:
        """The last good answer, unless it was issued after the morning looked at."""
        last = self._memory.latest(cell_id)
        if last is None or last.issued_utc is None:
            return last
        ahead = last.issued_utc > self._now + timedelta(minutes=AHEAD_MIN)
        return None if ahead else last


def _holds(forecast: CellForecast, place: Place) -> bool:
    return cell_holds(forecast.cell_id, forecast.outline, place.latitude, place.longitude)


def _plain(error: Exception) -> str:
    if isinstance(error, ForecastError):
        return error.message
    logger.error("forecast of one cell: %s", type(error).__name__, exc_info=error)
    return f"something unexpected happened ({type(error).__name__}), see the log"
