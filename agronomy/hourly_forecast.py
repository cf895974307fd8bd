"""The hourly-forecast contract: what every provider's answer becomes at the door.

All quantities are in the house units their names carry, hours start on the UTC hour, and NaN
means not known. Rain that falls in an hour is that hour's share of the forecast total, and a
total that ends early leaves the hours after it unknown, never dry.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

import numpy as np
import numpy.typing as npt

Hours = npt.NDArray[np.float32]

#: Hours a morning looks at, from the hour it runs in; nine days hold every forecast night.
FORECAST_HOURS = 216

#: The hourly quantities, in the order they are stored.
#: temp_f: air temperature [deg F]. window_low_f: the provider's own minimum of the night window
#: this hour lies in [deg F]. humidity_pct [%]. wind_mph: sustained [mph]. gust_mph [mph].
#: wind_from_deg [deg]. sky_pct: cloud cover [%]. rain_in: liquid falling in the hour [inch].
#: rain_chance_pct: chance of measurable rain in the provider's interval around this hour [%].
#: rain_chance_from_h: first hour of that interval [h since 1970 UTC]; hours that share it share
#: one chance, which must not be multiplied as if each hour were a new throw.
QUANTITIES = (
    "temp_f",
    "window_low_f",
    "humidity_pct",
    "wind_mph",
    "gust_mph",
    "wind_from_deg",
    "sky_pct",
    "rain_in",
    "rain_chance_pct",
    "rain_chance_from_h",
)


@dataclass(frozen=True, eq=False)
class CellForecast:
    """One issue of one provider for one grid cell.

    ``hourly`` maps every name of `QUANTITIES` to a float32 array of one common length, whose
    first element is the hour starting at ``start_utc``. ``outline`` is the cell as
    (longitude, latitude) pairs where the provider tells it. ``rejected`` names the layers that
    were refused and why, in plain words.
    """

    cell_id: str
    source: str
    issued_utc: datetime | None
    fetched_utc: datetime
    start_utc: datetime
    hourly: dict[str, Hours]
    elevation_ft: float = float("nan")
    outline: tuple[tuple[float, float], ...] = ()
    last_modified: str | None = None
    rejected: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class HourlyForecast:
    """Forecasts of several cells on one common grid of UTC hours.

    Every quantity has shape (cells, hours). A cell without an answer has NaN everywhere,
    ``issued_utc`` None, and the reason in ``problem``.
    """

    start_utc: datetime
    cell_ids: tuple[str, ...]
    issued_utc: tuple[datetime | None, ...]
    source: tuple[str, ...]
    problem: tuple[str, ...]
    elevation_ft: npt.NDArray[np.float64]
    temp_f: Hours
    window_low_f: Hours
    humidity_pct: Hours
    wind_mph: Hours
    gust_mph: Hours
    wind_from_deg: Hours
    sky_pct: Hours
    rain_in: Hours
    rain_chance_pct: Hours
    rain_chance_from_h: Hours
    rejected: tuple[tuple[str, ...], ...] = field(default=())

    @property
    def hours(self) -> int:
        """Number of hours on the grid."""
        return int(self.temp_f.shape[1])

    def hour_utc(self, index: int) -> datetime:
        """Start of the hour at ``index``."""
        return self.start_utc + timedelta(hours=int(index))


def whole_hour(moment: datetime) -> datetime:
    """The hour ``moment`` lies in."""
    return moment.replace(minute=0, second=0, microsecond=0)


def next_whole_hour(moment: datetime) -> datetime:
    """The first hour that has not begun before ``moment``."""
    hour = whole_hour(moment)
    return hour if hour == moment else hour + timedelta(hours=1)


def on_common_hours(
    cells: Sequence[tuple[str, CellForecast | None, str]],
    start_utc: datetime,
    hours: int = FORECAST_HOURS,
) -> HourlyForecast:
    """Lay cells on one grid of ``hours`` UTC hours from ``start_utc``.

    Parameters
    ----------
    cells
        (cell id, forecast or None, problem in plain words or "") per cell.
    start_utc
        First hour of the grid, a whole hour, aware.
    hours
        Length of the grid [h].

    Returns
    -------
    HourlyForecast
        Hours a cell does not cover are NaN.
    """
    blocks = {name: np.full((len(cells), hours), np.nan, dtype=np.float32) for name in QUANTITIES}
    for row, (_, cell, _) in enumerate(cells):
        if cell is not None:
            _place(blocks, row, cell, start_utc, hours)
    return HourlyForecast(
        start_utc=start_utc,
        cell_ids=tuple(cell_id for cell_id, _, _ in cells),
        issued_utc=tuple(cell.issued_utc if cell else None for _, cell, _ in cells),
        source=tuple(cell.source if cell else "" for _, cell, _ in cells),
        problem=tuple(problem for _, _, problem in cells),
        elevation_ft=np.array([cell.elevation_ft if cell else np.nan for _, cell, _ in cells]),
        rejected=tuple(cell.rejected if cell else () for _, cell, _ in cells),
        **blocks,
    )


def _place(
    blocks: dict[str, Hours], row: int, cell: CellForecast, start_utc: datetime, hours: int
) -> None:
    shift = round((cell.start_utc - start_utc).total_seconds() / 3600)
    length = len(cell.hourly["temp_f"])
    first, last = max(0, shift), min(hours, shift + length)
    if first >= last:
        return
    for name in QUANTITIES:
        blocks[name][row, first:last] = cell.hourly[name][first - shift : last - shift]
