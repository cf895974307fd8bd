"""Answers of MET Norway (Locationforecast 2.0, compact or complete), read into hourly forecasts.

Outside the Nordic countries it is hourly for about two days and told every six hours after that.
An instant holds for its own hour only: what lies between two of them is not known. Rain is told
as totals of the hours to come, which are shared out over their hours as every total is.
"""

from datetime import datetime

import numpy as np

from agronomy.hourly_forecast import CellForecast
from forecasts.columns import (
    QUANTITY,
    Column,
    first_hours,
    lay_out_columns,
    rows_by_name,
    written,
)
from forecasts.interval import hour_utc
from forecasts.issue_time import believed_issue
from forecasts.met_norway_answer import Meta, Span, decoded, hours_ahead, timed
from forecasts.night_window import night_window_lows
from forecasts.square import square
from forecasts.units import FT_PER_M

#: How a digest names the provider: the credit its licence, CC BY 4.0, asks for.
SOURCE = "Data from MET Norway (CC BY 4.0)"

#: Half the side of the square an answer is taken to hold for [deg]: its model's cells are about
#: 9 km wide outside the Nordic countries, and it answers for the very point it was asked for.
HALF_CELL_DEG = 0.05

#: Its names of units, and ours.
UNITS_WRITTEN = {
    "celsius": "degC",
    "%": "percent",
    "m/s": "m_s-1",
    "degrees": "degree_(angle)",
}

#: What holds at a time: the provider's name and ours. Gusts are told in the Nordic countries only.
VARIABLE_MAP = {
    "air_temperature": "temp_f",
    "relative_humidity": "humidity_pct",
    "wind_speed": "wind_mph",
    "wind_speed_of_gust": "gust_mph",
    "wind_from_direction": "wind_from_deg",
    "cloud_area_fraction": "sky_pct",
}

#: What holds for the hours to come. Chances are told in the Nordic countries only.
AHEAD_MAP = {
    "precipitation_amount": "rain_in",
    "probability_of_precipitation": "rain_chance_pct",
}

#: Variables that an answer may leave out without a word, as nearly all of ours do.
NORDIC_ONLY = {"wind_speed_of_gust", "probability_of_precipitation"}


def read_forecast(
    body: bytes, *, cell_id: str, now: datetime, last_modified: str | None = None
) -> CellForecast:
    """The forecast of a Locationforecast answer.

    Parameters
    ----------
    body
        The answer as it came, compact or complete.
    cell_id
        The cell it was asked for.
    now
        The moment it came, aware UTC.
    last_modified
        What to ask with next time.

    Returns
    -------
    CellForecast
        Issued when the answer says it was updated. Temperature, wind, humidity and cloud are
        known in the hours they are told for and in no other; chances and gusts where told, which
        outside the Nordic countries they are not. ``window_low_f`` is the lowest hour of each
        night window that is wholly known.

    Raises
    ------
    ForecastError
        The answer cannot be read.
    """
    answer = decoded(body)
    told = answer.properties
    longitude, latitude = answer.geometry.coordinates[:2]
    entries = timed(told)
    instants = [Span(hour, hour + 1, entry.data.instant.details) for hour, entry in entries]
    ahead = hours_ahead(entries)
    columns, missing = _columns(told.meta, instants, VARIABLE_MAP)
    more, missing_too = _columns(told.meta, ahead, AHEAD_MAP)
    columns += more
    columns += [first_hours(one) for one in more if one.name == "rain_chance_pct"]
    laid = lay_out_columns(columns)
    hourly = rows_by_name(columns, laid.grid)
    hourly["window_low_f"] = night_window_lows(hourly["temp_f"], laid.start, longitude)
    issued_utc, doubt = believed_issue(told.meta.updated_at, now)
    return CellForecast(
        cell_id=cell_id,
        source=SOURCE,
        issued_utc=issued_utc,
        fetched_utc=now,
        start_utc=hour_utc(laid.start),
        hourly=hourly,
        elevation_ft=_elevation_ft(answer.geometry.coordinates),
        outline=square(latitude, longitude, HALF_CELL_DEG),
        last_modified=last_modified,
        rejected=(*doubt, *missing, *missing_too, *laid.refused),
    )


def _columns(
    meta: Meta, spans: list[Span], names: dict[str, str]
) -> tuple[list[Column], list[str]]:
    columns: list[Column] = []
    missing: list[str] = []
    for key, name in names.items():
        mine = [one for one in spans if one.details.get(key) is not None]
        if not mine:
            if key not in NORDIC_ONLY:
                missing.append(f"{QUANTITY[name].words}: missing from the answer")
            continue
        unit = meta.units.get(key)
        columns.append(
            Column(
                name,
                written(unit if isinstance(unit, str) else None, UNITS_WRITTEN),
                np.array([one.first for one in mine], dtype=np.int64),
                np.array([one.end for one in mine], dtype=np.int64),
                [one.details[key] for one in mine],
                total=name == "rain_in",
            )
        )
    return columns, missing


def _elevation_ft(coordinates: list[float]) -> float:
    return coordinates[2] * FT_PER_M if len(coordinates) > 2 else float("nan")
