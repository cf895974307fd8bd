"""An invented region for the benchmark of rigs: fields, rigs of three sorts, days with wind.

The same seed gives the same region. Nothing in it is anybody's.
"""

from datetime import UTC, date, datetime, timedelta

import numpy as np

from dispatch.routes.problem import FieldJob, RigDay, RouteProblem, RouteWindow
from dispatch.routes.settings import RouteSettings
from dispatch.routes.travel import travel_between
from farm.rig import Rig

#: 7 am of Tuesday 6 October 2026 by the clock of the invented region.
START = datetime(2026, 10, 6, 12, tzinfo=UTC)
CENTER = (34.6, -100.9)
SORTS = (
    {"speed_mph": 12.0, "swath_ft": 90.0, "tank_gal": 1200.0, "refill_min": 20.0},
    {"speed_mph": 10.0, "swath_ft": 80.0, "tank_gal": 1000.0, "refill_min": 22.0},
    {"speed_mph": 9.0, "swath_ft": 60.0, "tank_gal": 750.0, "refill_min": 25.0},
)


def invented_region(fields: int, rigs: int, days: int, seed: int) -> RouteProblem:
    """Fields of 40 to 120 acres around a few yards, each with windows that differ by day."""
    drawn = np.random.default_rng(seed)
    settings = RouteSettings(days=days)
    yards = drawn.normal(0, 0.15, (max(2, rigs // 4), 2)) + CENTER
    fleet = [
        Rig(
            id=f"rig-{number}",
            name=f"Rig {number}",
            road_mph=22,
            yard_latitude=float(yards[number % len(yards), 0]),
            yard_longitude=float(yards[number % len(yards), 1]),
            day_start="07:00",  # type: ignore[arg-type]
            **SORTS[number % len(SORTS)],  # type: ignore[arg-type]
        )
        for number in range(rigs)
    ]
    jobs = sorted(
        (_field(number, days, drawn) for number in range(fields)),
        key=lambda one: -max(told.effect_pct for told in one.windows),
    )
    travel = travel_between(
        [(one.latitude, one.longitude) for one in jobs],
        {one.id: (one.yard_latitude or 0.0, one.yard_longitude or 0.0) for one in fleet},
        settings.road_factor,
    )
    rig_days = tuple(
        RigDay(rig, date(2026, 10, 6) + timedelta(days=day), 1440 * day, 1440 * day + 780)
        for day in range(days)
        for rig in fleet
    )
    return RouteProblem(START, "America/Chicago", tuple(jobs), rig_days, travel, settings)


def _field(number: int, days: int, drawn: np.random.Generator) -> FieldJob:
    acres = float(drawn.uniform(40, 120))
    worth = float(drawn.uniform(35, 95))
    at = drawn.normal(0, 0.2, 2) + CENTER
    opened = [day for day in range(days) if drawn.random() < 0.6] or [int(drawn.integers(days))]
    windows = tuple(_window(day, worth, drawn) for day in opened)
    mix = f"mix-{int(drawn.integers(2))}"
    return FieldJob(
        f"f{number}", f"Field {number}", float(at[0]), float(at[1]), acres, mix, 12 * acres, windows
    )


def _window(day: int, worth: float, drawn: np.random.Generator) -> RouteWindow:
    opens = 1440 * day + 60 * int(drawn.integers(1, 6))
    closes = opens + 60 * int(drawn.integers(4, 8))
    effect = round(max(5.0, worth * (0.93**day) + float(drawn.normal(0, 3))), 1)
    return RouteWindow(opens, closes, closes, min(100.0, effect), True)
