"""Small invented farms with rigs: fields placed by miles east and north of a yard."""

import math
from datetime import UTC, date, datetime
from typing import Any

from dispatch.routes.problem import FieldJob, RigDay, RouteProblem, RouteWindow
from dispatch.routes.settings import RouteSettings
from dispatch.routes.travel import travel_between
from farm.rig import Rig

#: 7 am of Tuesday 6 October 2026 by the farm's clock.
START = datetime(2026, 10, 6, 12, tzinfo=UTC)
TODAY = date(2026, 10, 6)
YARD = (34.6, -100.9)

#: A degree of latitude [miles], near enough for made-up places.
DEGREE_MI = 69.0

#: No time but that of driving and spraying, and roads as the crow flies.
BARE = RouteSettings(setup_min=0, road_factor=1, mile_cost_ac=0.05)


def place(east_mi: float, north_mi: float) -> tuple[float, float]:
    """Latitude and longitude of a point near the yard."""
    return (
        YARD[0] + north_mi / DEGREE_MI,
        YARD[1] + east_mi / (DEGREE_MI * math.cos(math.radians(YARD[0]))),
    )


def rig(rig_id: str = "wide", **changed: Any) -> Rig:
    """A rig that covers 60 acres in an hour and drives 30 mph."""
    told: dict[str, Any] = {
        "id": rig_id,
        "name": f"{rig_id} rig",
        "speed_mph": 8.25,
        "swath_ft": 60,
        "efficiency_frac": 1.0,
        "road_mph": 30,
        "yard_latitude": YARD[0],
        "yard_longitude": YARD[1],
    }
    return Rig(**{**told, **changed})


def window(open_h: float, close_h: float, effect_pct: float = 80.0, **changed: Any) -> RouteWindow:
    """A full window by hours from the start of the plan."""
    told: dict[str, Any] = {
        "open_min": round(open_h * 60),
        "last_start_min": round(close_h * 60),
        "close_min": round(close_h * 60),
        "effect_pct": effect_pct,
        "full": True,
    }
    return RouteWindow(**{**told, **changed})


def job(
    name: str,
    at: tuple[float, float],
    acres: float,
    *windows: RouteWindow,
    gallons: float | None = None,
    mix_id: str = "aid",
) -> FieldJob:
    """A field at miles east and north of the yard."""
    latitude, longitude = place(*at)
    return FieldJob(name, name.title(), latitude, longitude, acres, mix_id, gallons, windows)


def day(one: Rig, start_h: float = 0, end_h: float = 13, **changed: Any) -> RigDay:
    """A rig's day by hours from the start of the plan."""
    told: dict[str, Any] = {"rig": one, "on": TODAY, "driver": None}
    minutes = {"start_min": round(start_h * 60), "end_min": round(end_h * 60)}
    return RigDay(**{**told, **minutes, **changed})


def problem(
    jobs: list[FieldJob], days: list[RigDay], settings: RouteSettings = BARE
) -> RouteProblem:
    """Fields and rig-days with the miles between."""
    yards = {one.rig.id: (one.rig.yard_latitude, one.rig.yard_longitude) for one in days}
    travel = travel_between(
        [(one.latitude, one.longitude) for one in jobs],
        {rig_id: (at[0] or 0.0, at[1] or 0.0) for rig_id, at in yards.items()},
        settings.road_factor,
    )
    return RouteProblem(START, "America/Chicago", tuple(jobs), tuple(days), travel, settings)
