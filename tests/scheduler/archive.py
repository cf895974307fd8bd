"""An archive of invented forecasts, errors of our choosing, and a record of what came."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np

from agronomy.hourly_forecast import QUANTITIES, CellForecast
from farm.grid_cell import GridCell
from scheduler.opening import OpenFarm

CHICAGO = ZoneInfo("America/Chicago")
SOURCE = "US National Weather Service"
CELL = "nws:QQX/12,34"
FIRST = date(2026, 9, 20)
#: Hours of an invented issue.
HOURS = 200

Weather = Callable[[date], float]


def low_of(on: date) -> float:
    """Lows that came: 34, 36, 38 F and so on to 46, again and again."""
    return 34.0 + 2 * (on.toordinal() % 7)


def high_of(on: date) -> float:
    """Highs that came, 30 F above the low."""
    return low_of(on) + 30.0


def rain_of(on: date) -> float:
    """Rain that came: a tenth of an inch every fifth day."""
    return 0.1 if on.toordinal() % 5 == 0 else 0.0


def an_issue(on: date, told_low: Callable[[date, int], float], hour: int = 6) -> CellForecast:
    """The forecast fetched at ``hour`` local on a date; ``told_low`` by date and days ahead."""
    start = datetime.combine(on, datetime.min.time(), CHICAGO).replace(hour=hour).astimezone(UTC)
    hourly = {name: np.full(HOURS, np.nan, dtype=np.float32) for name in QUANTITIES}
    for index in range(HOURS):
        local = (start + timedelta(hours=index)).astimezone(CHICAGO)
        today, lead = local.date(), (local.date() - on).days
        low = told_low(today, lead)
        warm = low + 30.0 if 14 <= local.hour < 17 else low + 15.0
        hourly["temp_f"][index] = low if 4 <= local.hour < 8 else warm
        hourly["rain_chance_pct"][index] = 80.0 if rain_of(today) else 10.0
        hourly["rain_chance_from_h"][index] = today.toordinal()
    return CellForecast(
        cell_id=CELL,
        source=SOURCE,
        issued_utc=start - timedelta(hours=3),
        fetched_utc=start,
        start_utc=start,
        hourly=hourly,
    )


def keep_archive(
    farm: OpenFarm, days: int, told_low: Callable[[date, int], float], first: date = FIRST
) -> None:
    """Keep one issue a day, and every field in its cell."""
    for one in farm.config.fields:
        cell = GridCell(id=CELL, resolved_utc=datetime(2026, 9, 1, tzinfo=UTC))
        farm.stores.forecasts.keep_grid_cell(one.latitude, one.longitude, cell)
    dates = [first + timedelta(days=day) for day in range(days)]
    farm.stores.forecasts.keep_many(an_issue(on, told_low) for on in dates)


def write_record(file: Path, days: int, first: date = FIRST, low: Weather = low_of) -> Path:
    """The record of a thermometer and a gauge."""
    dates = [first + timedelta(days=day) for day in range(days)]
    rows = [f"{on},{low(on):g},{high_of(on):g},{rain_of(on):g}" for on in dates]
    file.write_text("date,low_f,high_f,rain_in\n" + "\n".join(rows) + "\n", "utf-8")
    return file
