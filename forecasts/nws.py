"""The US National Weather Service: which cell a place lies in, and what that cell's sky will do.

Public domain, no key, the United States only: 2.5 km cells, about eight days by the hour.
"""

from dataclasses import replace
from datetime import datetime, timedelta

from agronomy.hourly_forecast import CellForecast
from farm.grid_cell import GridCell
from forecasts.errors import ForecastError
from forecasts.nws_answer import read_point
from forecasts.nws_forecast import read_forecast
from forecasts.square import short
from forecasts.transport import TransportSource

#: Oldest issue we ask "anything newer?" about [h]. The service has sent dates of change that lay
#: days ahead, which would make "no" the answer for good; past this age the whole answer is asked.
ASK_IF_NEWER_H = 12


class NwsSource(TransportSource):
    """Asks the service, or whatever holds its answers, through a transport."""

    provider = "nws"

    def resolve(self, latitude: float, longitude: float, now: datetime) -> GridCell:
        """The cell a place lies in; `ForecastError` where the service names none."""
        answer = self._transport.get(point_path(latitude, longitude))
        name = read_point(answer.body or b"")
        return GridCell(id=name.cell_id, time_zone=name.time_zone, resolved_utc=now)

    def fetch(
        self, cell: GridCell, last: CellForecast | None, now: datetime
    ) -> CellForecast | None:
        """The cell's newest forecast, or None where ``last`` still is the newest.

        Raises
        ------
        ForecastError
            The cell has no forecast, or none that can be read.
        """
        answer = self._transport.get(cell_path(cell.id), dates_if_recent(last, now))
        if answer.body is None:
            return None
        forecast = read_forecast(answer.body, now=now, last_modified=answer.last_modified)
        return replace(forecast, cell_id=cell.id)


def point_path(latitude: float, longitude: float) -> str:
    """The path of a place, in the short form the service does not redirect."""
    return f"/points/{short(latitude, 4)},{short(longitude, 4)}"


def cell_path(cell_id: str) -> str:
    """The path of a cell's raw layers.

    Raises
    ------
    ForecastError
        The cell belongs to another provider.
    """
    provider, _, name = cell_id.partition(":")
    if provider != "nws" or not name:
        raise ForecastError(f"the cell {cell_id[:60]!r} is not one of the weather service", False)
    return f"/gridpoints/{name}"


def dates_if_recent(last: CellForecast | None, now: datetime) -> str | None:
    """What is kept to ask "anything newer?" with, None where the whole answer is to be asked."""
    if last is None or last.issued_utc is None:
        return None
    recent = now - last.issued_utc <= timedelta(hours=ASK_IF_NEWER_H)
    return last.last_modified if recent else None
