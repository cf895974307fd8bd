"""Where a field's maturity should stand today and on coming days, from its counts and heat.

Everything here is a projection at the season's normal heat. It says when to look again and what a
visit is worth; it never makes a field mature.
"""

from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt

from agronomy.opening_rate import OpeningRate, nodes_after, opening_rate
from agronomy.season import expected_excess_f, normal_on
from dispatch.field_rules import FieldRules
from dispatch.policy import Climate
from dispatch.words import LocalClock
from farm.records import Visit

Floats = npt.NDArray[np.float64]

#: Standard deviations either side that hold 80 in 100 of a normal spread.
WITHIN_80_PCT_SD = 1.2816

#: Days ahead a projection is carried [days].
PROJECTION_DAYS = 60

#: Coming days that are told one by one [days]. Judgement: the reach of a plan of sprays.
COMING_DAYS = 14


def rate_of(visits: Sequence[Visit], rules: FieldRules, clock: LocalClock) -> OpeningRate:
    """Opening rate from the field's own counts of nodes; the road tells none."""
    counted = [
        (visit.nodes_above_cracked_boll, clock.local(visit.observed_utc).date())
        for visit in visits
        if visit.nodes_above_cracked_boll is not None and not visit.windshield
    ]
    first = counted[0][1] if counted else clock.today
    return opening_rate(
        [nodes for nodes, _ in counted],
        [heat_between(rules.climate, first, on) for _, on in counted],
        rules.maturity.node_heat_f_days,
    )


def nodes_today(
    nodes: float | None, since_f_days: float, rate: OpeningRate
) -> tuple[float, float] | None:
    return None if nodes is None else nodes_after(nodes, since_f_days, rate)


def nodes_ahead(
    nodes: float,
    since_f_days: float,
    rules: FieldRules,
    rate: OpeningRate,
    today: date,
    days: int = COMING_DAYS,
) -> tuple[tuple[date, float, float, float], ...]:
    """Each coming day from tomorrow with its node count, and where that lies 80 times in 100.

    Parameters
    ----------
    nodes
        Nodes above cracked boll at the visit, or their equivalent.
    since_f_days
        Normal heat from the visit up to today [F days].

    Returns
    -------
    tuple of (date, middle, low, high)
        At normal heat and the field's opening rate; at least 0 nodes.
    """
    heat = since_f_days + np.cumsum(daily_heat(rules.climate, today, days))
    told = []
    for ahead, warmth in enumerate(heat, start=1):
        middle, spread = nodes_after(nodes, float(warmth), rate)
        band = WITHIN_80_PCT_SD * spread
        told.append((today + timedelta(days=ahead), middle, max(0.0, middle - band), middle + band))
    return tuple(told)


def heat_between(climate: Climate, first: date, last: date) -> float:
    """Normal heat from one day up to another [F days, base 60], 0 when they are the same."""
    return float(daily_heat(climate, first, max(0, (last - first).days)).sum())


def daily_heat(climate: Climate, first: date, days: int) -> Floats:
    day_of_year = first.timetuple().tm_yday + np.arange(days)
    mean = (
        normal_on(day_of_year, climate.normal_high_f) + normal_on(day_of_year, climate.normal_low_f)
    ) / 2
    return expected_excess_f(mean, climate.temp_sd_f)


def days_to_ready(
    nodes: float | None,
    since_f_days: float,
    rules: FieldRules,
    today: date,
    nodes_per_f_day: float | None = None,
) -> float | None:
    """Days to the limit at normal heat; on the assumed rate unless one is given."""
    if nodes is None:
        return None
    rate = nodes_per_f_day or 1 / rules.maturity.node_heat_f_days
    to_go = (nodes - rules.maturity.nacb_max) / rate - since_f_days
    if to_go <= 0:
        return 0.0
    ahead = np.cumsum(daily_heat(rules.climate, today, PROJECTION_DAYS))
    reached = np.nonzero(ahead >= to_go)[0]
    return float(reached[0] + 1) if reached.size else None


def ready_dates(
    nodes: float | None,
    since: float,
    rules: FieldRules,
    rate: OpeningRate,
    today: date,
    state: str,
) -> tuple[date | None, date | None, date | None]:
    if state == "mature":
        return None, None, None
    middle, spread = rate.nodes_per_f_day, WITHIN_80_PCT_SD * rate.sd
    slowest = max(middle - spread, middle / 3)
    days = [
        days_to_ready(nodes, since, rules, today, speed)
        for speed in (middle, middle + spread, slowest)
    ]
    return tuple(  # type: ignore[return-value]
        None if one is None else today + timedelta(days=one) for one in days
    )
