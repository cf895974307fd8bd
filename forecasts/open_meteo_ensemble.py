"""The members of an ensemble, as Open-Meteo tells them: one sky each, all of them likely."""

import re
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from agronomy.hourly_forecast import Hours
from forecasts.columns import Column, lay_out_columns
from forecasts.errors import ForecastError
from forecasts.interval import hour_utc
from forecasts.issue_time import believed_issue
from forecasts.open_meteo_forecast import (
    HALF_CELL_DEG,
    NO_ISSUE_TOLD,
    SOURCE,
    VARIABLE_MAP,
    PointAnswer,
    column_of,
    hours_of_times,
)
from forecasts.square import square

#: A member's own name of a variable. The first member stands under the bare name.
_MEMBER = re.compile(r"(?P<variable>[a-z0-9_]+?)(?:_member(?P<number>\d{1,3}))?", re.ASCII)

#: Variables read for each member.
VARIABLES = ("temperature_2m", "precipitation")


@dataclass(frozen=True, eq=False)
class EnsembleForecast:
    """One issue of an ensemble for one cell.

    ``temp_f`` [F] and ``rain_in`` [inch in the hour] have shape (members, hours), the first hour
    starting at ``start_utc``; a row is the same member in both, NaN where it does not tell the
    quantity. ``rejected`` names what was refused, in plain words.
    """

    cell_id: str
    source: str
    issued_utc: datetime | None
    fetched_utc: datetime
    start_utc: datetime
    temp_f: Hours
    rain_in: Hours
    outline: tuple[tuple[float, float], ...]
    rejected: tuple[str, ...] = ()

    @property
    def members(self) -> int:
        """Number of members."""
        return int(self.temp_f.shape[0])


def read_ensemble(
    point: PointAnswer, *, cell_id: str, now: datetime, issued_utc: datetime | None
) -> EnsembleForecast:
    """The members of one model at one point.

    Parameters
    ----------
    point
        From `open_meteo_forecast.read_points`, of an answer that was asked for one model.
    cell_id, now, issued_utc
        As in `open_meteo_forecast.read_forecast`.

    Raises
    ------
    ForecastError
        Its hours cannot be read, or it holds no member.
    """
    start, blocks, refused = _members(point)
    issued, doubt = believed_issue(issued_utc, now, NO_ISSUE_TOLD)
    return EnsembleForecast(
        cell_id=cell_id,
        source=SOURCE,
        issued_utc=issued,
        fetched_utc=now,
        start_utc=hour_utc(start),
        temp_f=blocks[0],
        rain_in=blocks[1],
        outline=square(point.latitude, point.longitude, HALF_CELL_DEG),
        rejected=(*doubt, *refused),
    )


def _members(point: PointAnswer) -> tuple[int, Hours, list[str]]:
    """First hour, values of shape (variables, members, hours), and what was refused."""
    hours = hours_of_times(point)
    numbers = _member_numbers(point)
    columns: list[Column] = []
    places: list[tuple[int, int]] = []
    missing: list[str] = []
    for which, variable in enumerate(VARIABLES):
        keys = [variable if one == "" else f"{variable}_member{one}" for one in numbers]
        for row, key in enumerate(keys):
            column = column_of(point, key, VARIABLE_MAP[variable], hours)
            if isinstance(column, str):
                missing.append(f"{key}: {column}")
            else:
                columns.append(column)
                places.append((which, row))
    laid = lay_out_columns(columns)
    blocks = np.full((len(VARIABLES), len(numbers), laid.grid.shape[1]), np.nan, np.float32)
    for place, values in zip(places, laid.grid, strict=True):
        blocks[place] = values
    return laid.start, blocks, [*missing, *laid.refused]


def _member_numbers(point: PointAnswer) -> list[str]:
    """The members by their number as written, the bare one first."""
    found: set[str] = set()
    for key in point.hourly:
        match = _MEMBER.fullmatch(key)
        if match and match["variable"] in VARIABLES:
            found.add(match["number"] or "")
    if not found:
        raise ForecastError("Open-Meteo's answer holds no members of an ensemble", True)
    return sorted(found, key=lambda number: int(number or -1))
