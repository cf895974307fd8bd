"""Whole answers of the US Weather Service's API, written in its own form.

Nothing here reads an answer: that is the forecasts room's work.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from scheduler.demo.ground import Ring
from scheduler.demo.nws_layers import HOUR, Holes, duration, layers_of
from scheduler.demo.weather import HourlyWeather

Answer = dict[str, Any]

#: Where the provider's own addresses in an answer begin.
API = "https://api.weather.gov"


@dataclass(frozen=True)
class GridSpot:
    """Which cell of which office an answer is for; ``outline`` is its closed ring."""

    office: str
    x: int
    y: int
    outline: Ring
    elevation_m: float

    @property
    def address(self) -> str:
        """The provider's address of the cell."""
        return f"{API}/gridpoints/{self.office}/{self.x},{self.y}"


def canonical(degrees: float) -> str:
    """A coordinate as the service's own addresses carry it: four decimals, no trailing zeros."""
    return f"{round(degrees, 4):.4f}".rstrip("0").rstrip(".")


def points_name(latitude: float, longitude: float) -> str:
    """File name of a recorded /points answer."""
    return f"points_{canonical(latitude)},{canonical(longitude)}.json"


def gridpoints_name(spot: GridSpot) -> str:
    """File name of a recorded /gridpoints answer."""
    return f"gridpoints_{spot.office}_{spot.x},{spot.y}.json"


def points_answer(latitude: float, longitude: float, spot: GridSpot, time_zone: str) -> Answer:
    """What /points says about a place: its cell, and the addresses to ask next."""
    here = f"{API}/points/{canonical(latitude)},{canonical(longitude)}"
    properties = {
        "@id": here,
        "@type": "wx:Point",
        "cwa": spot.office,
        "forecastOffice": f"{API}/offices/{spot.office}",
        "gridId": spot.office,
        "gridX": spot.x,
        "gridY": spot.y,
        "forecast": f"{spot.address}/forecast",
        "forecastHourly": f"{spot.address}/forecast/hourly",
        "forecastGridData": spot.address,
        "observationStations": f"{spot.address}/stations",
        "timeZone": time_zone,
    }
    where = {"type": "Point", "coordinates": [longitude, latitude]}
    return _feature(here, where, properties)


def gridpoint_answer(
    spot: GridSpot, weather: HourlyWeather, updated_utc: datetime, holes: Holes | None = None
) -> Answer:
    """What /gridpoints says about a cell: its raw layers, issued at ``updated_utc``."""
    properties = {
        "@id": spot.address,
        "@type": "wx:Gridpoint",
        "updateTime": updated_utc.isoformat(),
        "validTimes": f"{weather.start_utc.isoformat()}/{duration(weather.hours * HOUR)}",
        "elevation": {"unitCode": "wmoUnit:m", "value": spot.elevation_m},
        "forecastOffice": f"{API}/offices/{spot.office}",
        "gridId": spot.office,
        "gridX": str(spot.x),
        "gridY": str(spot.y),
        **layers_of(weather, holes or Holes()),
    }
    ring = [list(corner) for corner in spot.outline]
    return _feature(spot.address, {"type": "Polygon", "coordinates": [ring]}, properties)


def _feature(address: str, geometry: Answer, properties: Answer) -> Answer:
    units = {
        "@version": "1.1",
        "wmoUnit": "https://codes.wmo.int/common/unit/",
        "nwsUnit": f"{API}/ontology/unit/",
    }
    return {
        "@context": ["https://geojson.org/geojson-ld/geojson-context.jsonld", units],
        "id": address,
        "type": "Feature",
        "geometry": geometry,
        "properties": properties,
    }
