"""Reports of a weather station, as the US National Weather Service hands them out."""

import re
from datetime import UTC, datetime
from typing import Any, NamedTuple

import msgspec
import numpy as np

from forecasts.errors import ForecastError
from forecasts.interval import moment_utc
from forecasts.observed import NAN, ObservedReports, seconds_utc
from forecasts.transport import Transport
from forecasts.units import Kind, to_house

#: Most reports the service sends at once, a week of hourly ones and more.
MOST_REPORTS = 500

#: Marks of the service's own checks that mean "not to be believed": failed, questioned, bad by
#: eye. Terms of the service's observations.
NOT_BELIEVED = {"X", "Q", "B"}

_STATION = re.compile(r"[A-Z0-9]{3,8}", re.ASCII)


class _Quantity(NamedTuple):
    """Our name, the provider's, the unit wanted, and what can be true in it."""

    name: str
    key: str
    words: str
    kind: Kind
    low: float
    high: float


#: As in the forecast's layers; a sustained wind over 150 mph and 8 inches of rain in an hour are
#: instruments at fault. Judgement.
QUANTITIES = (
    _Quantity("temp_f", "temperature", "temperature", "temp_f", -60, 135),
    _Quantity("wind", "windSpeed", "wind", "speed_mph", 0, 150),
    _Quantity("rain", "precipitationLastHour", "rain", "rain_in", 0, 8),
)


def read_station(
    transport: Transport, station: str, span: tuple[datetime, datetime] | None = None
) -> ObservedReports:
    """The reports of a station.

    Parameters
    ----------
    transport
        Whom to ask; the service keeps about a week.
    station
        Its id, such as four letters.
    span
        First and last moment asked for, aware; all there is if None.

    Raises
    ------
    ForecastError
        The id cannot be one, or there is no usable answer.
    """
    name = station.strip().upper()
    if not _STATION.fullmatch(name):
        raise ForecastError(
            f'station: got "{station[:40]}", wanted an id of 3 to 8 letters and digits', False
        )
    path = f"/stations/{name}/observations"
    if span is not None:
        start, end = (one.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ") for one in span)
        path += f"?start={start}&end={end}&limit={MOST_REPORTS}"
    return read_reports(transport.get(path).body or b"", name)


def read_reports(body: bytes, station: str = "") -> ObservedReports:
    """The reports of an answer, in the order of time.

    A report without a time is passed over. A figure that is missing, not a number, in a unit not
    known, out of bounds, or marked as doubtful by the service is NaN; of two reports of one
    moment that differ, that figure is NaN. What was refused is told once for each reason.

    Raises
    ------
    ForecastError
        The answer as a whole is no list of reports.
    """
    try:
        answer = msgspec.json.decode(body)
    except (msgspec.MsgspecError, RecursionError, UnicodeDecodeError):
        raise ForecastError("the station's answer cannot be read", True) from None
    features = answer.get("features", [answer]) if isinstance(answer, dict) else None
    if not isinstance(features, list):
        raise ForecastError("the station's answer holds no reports", True)
    refused: dict[str, int] = {}
    by_time: dict[np.datetime64, list[list[float]]] = {}
    for one in features:
        properties = one.get("properties") if isinstance(one, dict) else None
        told: dict[str, Any] = properties if isinstance(properties, dict) else {}
        moment = moment_utc(told.get("timestamp"))
        if moment is None:
            _count(refused, "report without a time")
            continue
        figures = [_figure(told.get(each.key), each, refused) for each in QUANTITIES]
        by_time.setdefault(seconds_utc(moment), []).append(figures)
    times = sorted(by_time)
    values = np.array([_agreed(by_time[one]) for one in times]).reshape(-1, len(QUANTITIES))
    longitude, latitude = next(filter(None, map(_place, features)), (NAN, NAN))
    return ObservedReports(
        station=station,
        time_utc=np.array(times, dtype="datetime64[s]"),
        **{each.name: values[:, place] for place, each in enumerate(QUANTITIES)},
        latitude=latitude,
        longitude=longitude,
        refused=tuple(f"{words} ({times}x)" for words, times in refused.items()),
    )


def _figure(told: object, wanted: _Quantity, refused: dict[str, int]) -> float:
    if not isinstance(told, dict) or told.get("value") is None:
        return NAN
    if str(told.get("qualityControl") or "").rsplit(":", 1)[-1] in NOT_BELIEVED:
        _count(refused, f"{wanted.words}: marked as doubtful")
        return NAN
    try:
        unit = told.get("unitCode")
        factor, offset = to_house(wanted.kind, unit if isinstance(unit, str) else None)
        value = float(told["value"]) * factor + offset
    except (ValueError, TypeError, OverflowError) as error:
        _count(refused, f"{wanted.words}: {str(error)[:60]}")
        return NAN
    if not wanted.low <= value <= wanted.high:
        _count(refused, f"{wanted.words}: outside {wanted.low:g} to {wanted.high:g}")
        return NAN
    return value


def _agreed(reports: list[list[float]]) -> list[float]:
    """One report of a moment: what all that tell a figure agree on."""
    agreed = []
    for told in np.array(reports, float).T:
        known = told[~np.isnan(told)]
        agreed.append(float(known[0]) if known.size and np.ptp(known) < 1e-6 else NAN)
    return agreed


def _place(feature: Any) -> tuple[float, float] | None:
    try:
        longitude, latitude = feature["geometry"]["coordinates"][:2]
        return float(longitude), float(latitude)
    except (KeyError, TypeError, ValueError, IndexError, OverflowError):
        return None


def _count(refused: dict[str, int], words: str) -> None:
    refused[words] = refused.get(words, 0) + 1
