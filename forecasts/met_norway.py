"""MET Norway: any place, free with credit, by the hour for about two days outside the north.

Its terms: a caller says who it is, asks again only when the last answer has expired, and then
only for what changed since. A field's cell is the point of a lattice nearest to it.
"""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from email.utils import parsedate_to_datetime

from agronomy.hourly_forecast import CellForecast
from farm.grid_cell import GridCell
from forecasts.met_norway_forecast import read_forecast
from forecasts.nws import dates_if_recent
from forecasts.square import lattice_cell, short, spot_of_cell
from forecasts.transport import Answer, TransportSource

#: Names of its cells begin with this.
PROVIDER = "met_norway"

ADDRESS = "https://api.met.no"

#: Longest an answer is taken as unexpired after it came [h]. Answers expire within the hour; a
#: date that lies further ahead is a mistake, and would keep us from asking for good.
EXPIRES_WITHIN_H = 6

#: Stands between the two dates that are kept with an answer.
_EXPIRES = "; expires "


class MetNorwaySource(TransportSource):
    """Asks MET Norway through a transport."""

    provider = PROVIDER

    def expect(self, cells: Sequence[GridCell]) -> None:
        """Nothing: each cell is a question of its own."""

    def resolve(self, latitude: float, longitude: float, now: datetime) -> GridCell:
        """The point of the lattice nearest to a place. No request is sent."""
        return lattice_cell(PROVIDER, latitude, longitude, now)

    def fetch(
        self, cell: GridCell, last: CellForecast | None, now: datetime
    ) -> CellForecast | None:
        """The cell's newest forecast, or None where ``last`` still is the newest.

        Nothing is asked while the last answer has not expired.

        Raises
        ------
        ForecastError
            There is none, or none that can be read.
        """
        spot = spot_of_cell(cell, PROVIDER, "MET Norway")
        if last is not None and _still_good(last, kept_dates(last.last_modified)[1], now):
            return None
        answer = self._transport.get(
            "/weatherapi/locationforecast/2.0/complete"
            f"?lat={short(spot.latitude)}&lon={short(spot.longitude)}",
            kept_dates(dates_if_recent(last, now))[0],
        )
        if answer.body is None:
            return None
        return read_forecast(answer.body, cell_id=cell.id, now=now, last_modified=dates(answer))


def dates(answer: Answer) -> str | None:
    """When an answer changed and when it expires, in one text to be kept with it."""
    if answer.last_modified is None:
        return None
    return answer.last_modified + (f"{_EXPIRES}{answer.expires}" if answer.expires else "")


def kept_dates(kept: str | None) -> tuple[str | None, str | None]:
    """The two dates of such a text, as the service wrote them."""
    changed, mark, expires = (kept or "").partition(_EXPIRES)
    return changed or None, expires if mark else None


def _still_good(last: CellForecast, expires: str | None, now: datetime) -> bool:
    try:
        until = parsedate_to_datetime(expires or "")
    except (ValueError, TypeError):
        return False
    until = until if until.tzinfo else until.replace(tzinfo=UTC)
    age = now - last.fetched_utc
    return timedelta(0) <= age <= timedelta(hours=EXPIRES_WITHIN_H) and now < until
