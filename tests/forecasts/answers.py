"""Small answers of our own in the weather service's form, and a clock to wait with."""

import json
from datetime import UTC, datetime, timedelta
from typing import Any

NOW = datetime(2026, 10, 6, 11, 0, tzinfo=UTC)
START = "2026-10-06T06:00:00+00:00"

#: The house's cell of these tests: about 2.5 km around 34.75, -101.75.
LATITUDE, LONGITUDE = 34.75, -101.75
RING = [
    [-101.764, 34.739],
    [-101.736, 34.739],
    [-101.736, 34.761],
    [-101.764, 34.761],
    [-101.764, 34.739],
]


def layer(unit: str | None, *values: tuple[str, Any]) -> dict[str, Any]:
    """One layer: a unit and (interval, value) pairs."""
    told = {"values": [{"validTime": when, "value": value} for when, value in values]}
    return told if unit is None else {"uom": unit, **told}


def gridpoint(**changes: Any) -> dict[str, Any]:
    """A whole answer for two days from `START`; named properties are replaced or added."""
    two_days = f"{START}/P2D"
    properties = {
        "updateTime": "2026-10-06T10:00:00+00:00",
        "validTimes": two_days,
        "elevation": {"unitCode": "wmoUnit:m", "value": 1000.0},
        "gridId": "XYZ",
        "gridX": "12",
        "gridY": "34",
        "temperature": layer("wmoUnit:degC", (two_days, 20.0)),
        "minTemperature": layer("wmoUnit:degC", ("2026-10-07T01:00:00+00:00/PT14H", 5.0)),
        "relativeHumidity": layer("wmoUnit:percent", (two_days, 50)),
        "windSpeed": layer("wmoUnit:km_h-1", (two_days, 9.26)),
        "windGust": layer("wmoUnit:km_h-1", (two_days, 18.52)),
        "windDirection": layer("wmoUnit:degree_(angle)", (two_days, 200)),
        "skyCover": layer("wmoUnit:percent", (two_days, 25)),
        "quantitativePrecipitation": layer("wmoUnit:mm", (two_days, 0)),
        "probabilityOfPrecipitation": layer("wmoUnit:percent", (two_days, 10)),
    } | changes
    return {
        "type": "Feature",
        "geometry": {"type": "Polygon", "coordinates": [RING]},
        "properties": properties,
    }


def shifted(answer: dict[str, Any], east_deg: float) -> dict[str, Any]:
    """The same answer for a cell further east."""
    ring = [[lon + east_deg, lat] for lon, lat in RING]
    return answer | {"geometry": {"type": "Polygon", "coordinates": [ring]}}


def point(office: str = "XYZ", column: int = 12, row: int = 34) -> dict[str, Any]:
    """A points answer naming a cell."""
    return {
        "type": "Feature",
        "properties": {
            "gridId": office,
            "gridX": column,
            "gridY": row,
            "timeZone": "America/Chicago",
        },
    }


def problem(title: str, status: int, detail: str = "") -> dict[str, Any]:
    """A problem answer."""
    return {"title": title, "status": status, "detail": detail, "type": "about:blank"}


def as_bytes(answer: Any) -> bytes:
    """An answer as it travels."""
    return json.dumps(answer).encode()


def hour_index(text: str) -> int:
    """Hours from `START` to a time of day written like ``07T14`` (October 2026)."""
    day, hour = text.split("T")
    moment = datetime(2026, 10, int(day), int(hour), tzinfo=UTC)
    return (moment - datetime.fromisoformat(START)) // timedelta(hours=1)


class Clock:
    """A monotonic clock that only moves when somebody sleeps."""

    def __init__(self) -> None:
        self.now_s = 1000.0
        self.slept_s: list[float] = []

    def __call__(self) -> float:
        return self.now_s

    def sleep(self, seconds: float) -> None:
        self.slept_s.append(seconds)
        self.now_s += seconds
