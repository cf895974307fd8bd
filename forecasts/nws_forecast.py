"""Raw gridpoint answers of the US National Weather Service, read into hourly forecasts."""

import json
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

from agronomy.hourly_forecast import CellForecast, whole_hour
from forecasts.errors import ForecastError
from forecasts.interval import EPOCH, hour_utc, packed_hours, unpacked
from forecasts.issue_time import believed_issue
from forecasts.nws_answer import cell_name, elevation_ft, envelope, outline
from forecasts.nws_layers import LONGEST_H, VARIABLE_MAP, lay_out, read_layers
from forecasts.runs import Runs

#: How a digest names the provider.
SOURCE = "US National Weather Service"


def read_forecast(
    body: bytes | Mapping[str, Any], *, now: datetime, last_modified: str | None = None
) -> CellForecast:
    """The forecast of a raw /gridpoints answer.

    Parameters
    ----------
    body
        The answer as it came, or already decoded.
    now
        The moment it came, aware UTC.
    last_modified
        The answer's Last-Modified header.

    Returns
    -------
    CellForecast
        From the first hour of the answer to the last of any layer, at most `LONGEST_H` hours.
        Layers that cannot be trusted are NaN and named in ``rejected``. An issue time that is
        missing or lies ahead of the clock is None: the age is not known.

    Raises
    ------
    ForecastError
        The answer as a whole cannot be read, or reports a problem.
    """
    answer = envelope(json.dumps(body).encode() if isinstance(body, Mapping) else body)
    told = answer.properties
    name = cell_name(told)
    if name is None:
        raise ForecastError("the weather service's answer does not say which cell it is for", True)
    read = read_layers([getattr(told, key) for key in VARIABLE_MAP])
    start, hours = _span(told.validTimes, read.runs, now)
    hourly, rejected = lay_out(read, start, hours)
    issued_utc, doubt = believed_issue(told.updateTime, now)
    return CellForecast(
        cell_id=name.cell_id,
        source=SOURCE,
        issued_utc=issued_utc,
        fetched_utc=now,
        start_utc=hour_utc(start),
        hourly=hourly,
        elevation_ft=elevation_ft(told.elevation),
        outline=outline(answer.geometry),
        last_modified=last_modified,
        rejected=(*doubt, *rejected),
    )


def _span(valid_times: object, runs: Runs, now: datetime) -> tuple[int, int]:
    """First hour and length of the answer.

    The answer's own first hour is taken where any value reaches it; where it is missing, or
    belongs to another time than the values, the earliest value is.
    """
    if not runs.first.size:
        return (whole_hour(now.astimezone(UTC)) - EPOCH) // timedelta(hours=1), 0
    start, end = int(runs.first.min()), int(runs.end.max())
    try:
        first, _ = unpacked([packed_hours(valid_times if isinstance(valid_times, str) else "")])
        told = int(first[0])
    except ValueError:
        told = start
    if told < end and start < told + LONGEST_H:
        start = told
    return start, min(end - start, LONGEST_H)
