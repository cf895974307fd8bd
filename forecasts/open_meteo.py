"""Open-Meteo: sixteen days by the hour for any place, many places in one question.

Free for non-commercial use only, so it asks for a key or for the operator's word. A field's cell
is the point of a lattice nearest to it.
"""

from collections.abc import Iterable, Sequence
from datetime import datetime
from urllib.parse import quote, urlencode

from agronomy.hourly_forecast import CellForecast
from farm.grid_cell import GridCell
from forecasts.errors import ForecastError
from forecasts.open_meteo_forecast import (
    VARIABLE_MAP,
    PointAnswer,
    read_forecast,
    read_points,
)
from forecasts.open_meteo_runs import MODEL, RUNS, read_run, run_path
from forecasts.square import Spot, lattice_cell, spot_of_cell
from forecasts.transport import Answer, Transport, TransportSource

#: Names of its cells begin with this.
PROVIDER = "open_meteo"

#: Where it answers without a key, and with one.
FREE_ADDRESS = "https://api.open-meteo.com"
KEY_ADDRESS = "https://customer-api.open-meteo.com"

#: Points asked for in one question, and most questions a second without a key. A question counts
#: once for each point and a little more for sixteen days: 20 x 16/14 x 0.4 x 60 = 549 a minute,
#: where 600 are free.
POINTS_AT_ONCE = 20
FREE_REQUESTS_PER_SECOND = 0.4

#: Days asked for, all there are [days].
FORECAST_DAYS = 16


class OpenMeteoSource(TransportSource):
    """Asks Open-Meteo through a transport, for all cells expected while it is at it."""

    provider = PROVIDER

    def __init__(self, transport: Transport, api_key: str | None = None) -> None:
        super().__init__(transport)
        self._api_key = api_key
        self._expected: list[GridCell] = []
        self._told: dict[str, CellForecast | ForecastError] = {}
        self._issued: tuple[datetime | None] | None = None

    def begin(self, total_deadline_s: float) -> None:
        """Start a morning that may take this long in all [s]."""
        super().begin(total_deadline_s)
        self.expect(())

    def expect(self, cells: Sequence[GridCell]) -> None:
        """Begin a round in which these cells will be asked for; all of them are asked anew."""
        self._expected = list(cells)
        self._told.clear()
        self._issued = None

    def resolve(self, latitude: float, longitude: float, now: datetime) -> GridCell:
        """The point of the lattice nearest to a place. No request is sent."""
        return lattice_cell(PROVIDER, latitude, longitude, now)

    def fetch(
        self, cell: GridCell, last: CellForecast | None, now: datetime
    ) -> CellForecast | None:
        """The cell's newest forecast.

        Raises
        ------
        ForecastError
            There is none, or none that can be read.
        """
        if cell.id not in self._told:
            self._ask(cell, now)
        told = self._told[cell.id]
        if isinstance(told, ForecastError):
            raise told
        return told

    def _ask(self, cell: GridCell, now: datetime) -> None:
        """Ask for a cell, and for others that are expected and still to be told."""
        others = [one for one in self._expected if one.id not in self._told and one.id != cell.id]
        ours = [one for one in others if one.id.startswith(f"{PROVIDER}:")]
        cells = [cell, *ours][:POINTS_AT_ONCE]
        try:
            spots = [spot_of_cell(one, PROVIDER, "Open-Meteo") for one in cells]
            # The runs come first, so that one that comes out in between makes us think it older.
            issued_utc = self._issued_utc()
            asked = question(spots, VARIABLE_MAP, MODEL, FORECAST_DAYS)
            points = ask_points(self._transport, f"/v1/forecast?{asked}", self._api_key, len(spots))
        except ForecastError as error:
            self._told |= {one.id: error for one in cells}
            return
        for one, point in zip(cells, points, strict=True):
            try:
                told = read_forecast(point, cell_id=one.id, now=now, issued_utc=issued_utc)
            except ForecastError as error:
                self._told[one.id] = error
            else:
                self._told[one.id] = told

    def _issued_utc(self) -> datetime | None:
        """When the oldest of the runs came out; None where any does not tell."""
        if self._issued is None:
            try:
                times = [ask_run(self._transport, one, self._api_key) for one in RUNS]
                self._issued = (min(times),)
            except ForecastError:
                self._issued = (None,)
        return self._issued[0]


def ask(transport: Transport, path: str, api_key: str | None) -> Answer:
    """The answer at a path, asked for with the key where there is one, which no error tells."""
    if not api_key:
        return transport.get(path)
    try:
        return transport.get(f"{path}{'&' if '?' in path else '?'}apikey={quote(api_key, safe='')}")
    except ForecastError as error:
        raise _without(api_key, error) from None


def ask_points(
    transport: Transport, path: str, api_key: str | None, wanted: int
) -> tuple[PointAnswer, ...]:
    """The points of the answer at a path; `ForecastError` where they are fewer or more."""
    points = read_points(ask(transport, path, api_key).body or b"")
    if len(points) != wanted:
        raise ForecastError(f"Open-Meteo told {len(points)} of {wanted} points", True)
    return points


def ask_run(transport: Transport, run: str, api_key: str | None) -> datetime:
    """When a model's run came out [UTC]; `ForecastError` where that is not told."""
    return read_run(ask(transport, run_path(run), api_key).body or b"")


def question(spots: Sequence[Spot], variables: Iterable[str], model: str, days: int) -> str:
    """What is asked of a model for some points, in GMT and in units that are read."""
    return urlencode(
        {
            "latitude": ",".join(one.written.split(",")[0] for one in spots),
            "longitude": ",".join(one.written.split(",")[1] for one in spots),
            "hourly": ",".join(variables),
            "models": model,
            "temperature_unit": "fahrenheit",
            "wind_speed_unit": "mph",
            "timeformat": "unixtime",
            "timezone": "GMT",
            "forecast_days": days,
            "cell_selection": "nearest",
        },
        safe=",",
    )


def _without(key: str, error: ForecastError) -> ForecastError:
    """The error with the key taken out of its words, however it got there."""
    words = error.message
    for form in (key, quote(key, safe="")):
        words = words.replace(form, "(key)")
    return ForecastError(
        words,
        error.recoverable,
        retry_after_s=error.retry_after_s,
        gone=error.gone,
        setting=error.setting,
    )
