"""Answers of Open-Meteo, read into hourly forecasts.

It tells instants at the hour, and totals, gusts and chances of the hour before; ours are of the
hour that begins. It tells local time by one offset for the whole answer, which is wrong across a
change of clocks: so only GMT is read, in seconds since 1970, as it is asked for here, or as text.
"""

from datetime import UTC, datetime
from typing import Any, NamedTuple

import msgspec
import numpy as np

from agronomy.hourly_forecast import CellForecast
from forecasts.columns import (
    QUANTITY,
    Column,
    Laid,
    first_hours,
    hours_believed,
    lay_out_columns,
    rows_by_name,
    written,
)
from forecasts.errors import ForecastError
from forecasts.interval import hour_utc
from forecasts.issue_time import believed_issue
from forecasts.night_window import night_window_lows
from forecasts.nws_layers import LONGEST_H
from forecasts.square import square
from forecasts.units import FT_PER_M

#: How a digest names the provider; its licence, CC BY 4.0, asks for the credit.
SOURCE = "Open-Meteo.com (CC BY 4.0)"

#: Half the side of the square an answer is taken to hold for [deg]: half a cell of the coarsest
#: model behind it, 0.25 deg, and a little more for rounding.
HALF_CELL_DEG = 0.13

#: Its names of units, and ours.
UNITS_WRITTEN = {
    "°C": "degC",
    "°F": "degF",
    "%": "percent",
    "km/h": "km_h-1",
    "m/s": "m_s-1",
    "mp/h": "mph",
    "kn": "kt",
    "inch": "in",
    "°": "degree_(angle)",
}

NO_ISSUE_TOLD = (
    "issue time: Open-Meteo tells none with its answer and its times of model runs "
    "were not to be had, so its age is not known"
)


class Told(NamedTuple):
    """Our name of a variable, and whether it is told for the hour before its time."""

    name: str
    hour_before: bool


#: The provider's names of variables and ours. Its chance is that of more than 0.1 mm (0.004 inch)
#: in that one hour.
VARIABLE_MAP = {
    "temperature_2m": Told("temp_f", False),
    "relative_humidity_2m": Told("humidity_pct", False),
    "wind_speed_10m": Told("wind_mph", False),
    "wind_gusts_10m": Told("gust_mph", True),
    "wind_direction_10m": Told("wind_from_deg", False),
    "cloud_cover": Told("sky_pct", False),
    "precipitation": Told("rain_in", True),
    "precipitation_probability": Told("rain_chance_pct", True),
}


class PointAnswer(msgspec.Struct):
    """What is told for one point, its columns still unread."""

    latitude: float
    longitude: float
    utc_offset_seconds: int
    timezone: str
    hourly: dict[str, msgspec.Raw]
    hourly_units: dict[str, Any]
    elevation: float | None = None


_decoder = msgspec.json.Decoder(PointAnswer | list[PointAnswer])


def read_points(body: bytes) -> tuple[PointAnswer, ...]:
    """The points of an answer, in the order they were asked for.

    Raises
    ------
    ForecastError
        The answer cannot be read, reports a problem, or tells its hours in another zone than
        GMT.
    """
    try:
        answer = _decoder.decode(body)
    except (msgspec.MsgspecError, RecursionError, UnicodeDecodeError) as error:
        raise ForecastError(_unread(body, error), True) from error
    points = tuple(answer) if isinstance(answer, list) else (answer,)
    for one in points:
        _refuse_local_time(one)
    return points


def read_forecast(
    point: PointAnswer,
    *,
    cell_id: str,
    now: datetime,
    issued_utc: datetime | None,
) -> CellForecast:
    """The forecast of one point.

    Parameters
    ----------
    point
        From `read_points`.
    cell_id
        The cell it was asked for.
    now
        The moment it came, aware UTC.
    issued_utc
        When the oldest model run behind it came out, None where that is not known; the answer
        itself tells no age.

    Returns
    -------
    CellForecast
        From the hour before its first time to the last hour with a value. ``window_low_f`` is
        the lowest hour of each night window that is wholly known; the provider tells none.

    Raises
    ------
    ForecastError
        Its hours cannot be read.
    """
    hours = hours_of_times(point)
    columns, missing = _columns(point, hours)
    laid = lay_out_columns(columns) if columns else _nothing_told(hours)
    hourly = rows_by_name(columns, laid.grid)
    hourly["window_low_f"] = night_window_lows(hourly["temp_f"], laid.start, point.longitude)
    issued, doubt = believed_issue(issued_utc, now, NO_ISSUE_TOLD)
    return CellForecast(
        cell_id=cell_id,
        source=SOURCE,
        issued_utc=issued,
        fetched_utc=now,
        start_utc=hour_utc(laid.start),
        hourly=hourly,
        elevation_ft=float("nan") if point.elevation is None else point.elevation * FT_PER_M,
        outline=square(point.latitude, point.longitude, HALF_CELL_DEG),
        rejected=(*doubt, *missing, *laid.refused),
    )


def hours_of_times(point: PointAnswer) -> tuple[int, ...]:
    """The hours of an answer [h since 1970 UTC]; `ForecastError` where they are none."""
    try:
        raw = point.hourly.get("time", b"null")
        if point.hourly_units.get("time") == "iso8601":
            times = [_seconds(one) for one in msgspec.json.decode(raw, type=list[str])]
        else:
            times = msgspec.json.decode(raw, type=list[int])
    except (msgspec.MsgspecError, RecursionError, ValueError, OverflowError) as error:
        raise ForecastError(f"Open-Meteo's answer tells no hours ({error})", True) from error
    hours = tuple(one // 3600 for one in times)
    if any(one % 3600 for one in times) or not hours_believed(hours):
        raise ForecastError("Open-Meteo's answer tells hours that are none", True)
    return hours


def _seconds(text: str) -> int:
    """A time in GMT as seconds since 1970; `ValueError` where it is none, or one of elsewhere."""
    moment = datetime.fromisoformat(text)
    if moment.utcoffset():
        raise ValueError(f"got {text[:40]!r}, wanted a time in GMT")
    return int(moment.replace(tzinfo=UTC).timestamp())


def _nothing_told(hours: tuple[int, ...]) -> Laid:
    """The hours of an answer that tells none of the variables read."""
    first = min(hours)
    return Laid(first, np.zeros((0, min(max(hours) + 1 - first, LONGEST_H)), np.float32), ())


def column_of(point: PointAnswer, key: str, told: Told, hours: tuple[int, ...]) -> Column | str:
    """One variable as a column, or why there is none."""
    raw = point.hourly.get(key)
    unit = point.hourly_units.get(key)
    try:
        values = msgspec.json.decode(raw, type=list[Any]) if raw is not None else None
    except (msgspec.MsgspecError, RecursionError) as error:
        return f"not in the form expected ({error})"
    if values is None:
        return "missing from the answer"
    if len(values) != len(hours):
        return f"got {len(values)} values, wanted one for each of {len(hours)} hours"
    first = np.array(hours, dtype=np.int64) - told.hour_before
    unit = written(unit if isinstance(unit, str) else None, UNITS_WRITTEN)
    return Column(told.name, unit, first, first + 1, values, total=told.name == "rain_in")


def _columns(point: PointAnswer, hours: tuple[int, ...]) -> tuple[list[Column], list[str]]:
    columns: list[Column] = []
    missing: list[str] = []
    for key, told in VARIABLE_MAP.items():
        column = column_of(point, key, told, hours)
        if isinstance(column, str):
            missing.append(f"{QUANTITY[told.name].words}: {column}")
        else:
            columns.append(column)
            if told.name == "rain_chance_pct":
                columns.append(first_hours(column))
    return columns, missing


def _refuse_local_time(point: PointAnswer) -> None:
    form = str(point.hourly_units.get("time"))[:20]
    zoned = point.utc_offset_seconds or point.timezone not in ("GMT", "UTC")
    if zoned or form not in ("unixtime", "iso8601"):
        raise ForecastError(
            f"Open-Meteo's answer tells its hours as {form} in {point.timezone[:40]}, which is "
            "wrong across a change of clocks; ask with timezone=GMT and timeformat=unixtime",
            False,
        )


def _unread(body: bytes, error: Exception) -> str:
    try:
        told = msgspec.json.decode(body, type=dict[str, Any]).get("reason")
    except (msgspec.MsgspecError, RecursionError, UnicodeDecodeError):
        told = None
    if isinstance(told, str):
        return f"no answer from Open-Meteo ({' '.join(told.split())[:120]})"
    return f"Open-Meteo's answer could not be read ({error})"
