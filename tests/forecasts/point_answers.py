"""Small answers of our own in the forms of Open-Meteo and MET Norway."""

from datetime import UTC, datetime, timedelta
from typing import Any

from tests.forecasts.answers import LATITUDE, LONGITUDE, NOW

#: First hour of the answers: the GMT day of `NOW`.
DAY = datetime(2026, 10, 6, tzinfo=UTC)

UNITS = {
    "time": "unixtime",
    "temperature_2m": "°F",
    "relative_humidity_2m": "%",
    "wind_speed_10m": "mp/h",
    "wind_gusts_10m": "mp/h",
    "wind_direction_10m": "°",
    "cloud_cover": "%",
    "precipitation": "mm",
    "precipitation_probability": "%",
}


def open_meteo(
    hours: int = 72,
    start: datetime = DAY,
    *,
    latitude: float = LATITUDE,
    longitude: float = LONGITUDE,
    units: dict[str, Any] | None = None,
    **columns: Any,
) -> dict[str, Any]:
    """An answer for one point; named columns and units take the place of steady ones."""
    first = int(start.timestamp())
    steady = {
        "time": [first + 3600 * hour for hour in range(hours)],
        "temperature_2m": [68.0] * hours,
        "relative_humidity_2m": [50] * hours,
        "wind_speed_10m": [6.0] * hours,
        "wind_gusts_10m": [11.0] * hours,
        "wind_direction_10m": [200] * hours,
        "cloud_cover": [25] * hours,
        "precipitation": [0.0] * hours,
        "precipitation_probability": [5] * hours,
    }
    return {
        "latitude": latitude,
        "longitude": longitude,
        "generationtime_ms": 0.1,
        "utc_offset_seconds": 0,
        "timezone": "GMT",
        "timezone_abbreviation": "GMT",
        "elevation": 1000.0,
        "hourly_units": UNITS | (units or {}),
        "hourly": steady | columns,
    }


def ensemble(hours: int, members: int, start: datetime = DAY, **columns: Any) -> dict[str, Any]:
    """An answer of an ensemble: temperature and rain of each member, steady where not named."""
    answer = open_meteo(hours, start)
    names = ["", *(f"_member{number:02d}" for number in range(1, members))]
    keys = [f"{one}{name}" for one in ("temperature_2m", "precipitation") for name in names]
    hourly = {key: [68.0 if key.startswith("temp") else 0.0] * hours for key in keys}
    units = {key: "°F" if key.startswith("temp") else "mm" for key in keys}
    return answer | {
        "hourly": {"time": answer["hourly"]["time"]} | hourly | columns,
        "hourly_units": {"time": "unixtime"} | units,
    }


def runs(available_utc: datetime) -> dict[str, Any]:
    """What Open-Meteo tells of a model's last run."""
    at = int(available_utc.timestamp())
    return {
        "last_run_initialisation_time": at - 5 * 3600,
        "last_run_modification_time": at - 300,
        "last_run_availability_time": at,
        "temporal_resolution_seconds": 3600,
        "update_interval_seconds": 21600,
    }


def met_norway(
    entries: list[dict[str, Any]] | None = None,
    *,
    latitude: float = LATITUDE,
    longitude: float = LONGITUDE,
    updated_at: str = "2026-10-06T07:30:00Z",
    units: dict[str, str] | None = None,
) -> dict[str, Any]:
    """A compact answer: 55 hours by the hour, then every six hours."""
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [longitude, latitude, 1000]},
        "properties": {
            "meta": {
                "updated_at": updated_at,
                "units": {
                    "air_pressure_at_sea_level": "hPa",
                    "air_temperature": "celsius",
                    "cloud_area_fraction": "%",
                    "precipitation_amount": "mm",
                    "relative_humidity": "%",
                    "wind_from_direction": "degrees",
                    "wind_speed": "m/s",
                }
                | (units or {}),
            },
            "timeseries": two_speeds(NOW) if entries is None else entries,
        },
    }


def two_speeds(start: datetime, hourly: int = 55, blocks: int = 26) -> list[dict[str, Any]]:
    """Entries by the hour, then by six hours, the last without anything ahead."""
    hours = [start + timedelta(hours=hour) for hour in range(hourly)]
    later = [start + timedelta(hours=hourly + 6 * block) for block in range(blocks + 1)]
    return [
        *(entry(one, one_h_mm=0.0, six_h_mm=0.0 if one < hours[-5] else None) for one in hours),
        *(entry(one, six_h_mm=0.0) for one in later[:-1]),
        entry(later[-1]),
    ]


def entry(
    time: datetime,
    temp_c: float = 20.0,
    *,
    one_h_mm: float | None = None,
    six_h_mm: float | None = None,
) -> dict[str, Any]:
    """One time of a series."""
    data: dict[str, Any] = {
        "instant": {
            "details": {
                "air_pressure_at_sea_level": 1015.0,
                "air_temperature": temp_c,
                "cloud_area_fraction": 25.0,
                "relative_humidity": 50.0,
                "wind_from_direction": 200.0,
                "wind_speed": 2.5,
            }
        },
        "next_12_hours": {"summary": {"symbol_code": "fair_day"}},
    }
    for name, total in (("next_1_hours", one_h_mm), ("next_6_hours", six_h_mm)):
        if total is not None:
            summary = {"symbol_code": "fair_day"}
            data[name] = {"summary": summary, "details": {"precipitation_amount": total}}
    return {"time": f"{time:%Y-%m-%dT%H:%M:%SZ}", "data": data}
