"""How fields of a simulated season ripen, and what the scouts count."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt

from agronomy.heat_units import daily_heat_units
from agronomy.maturity import judge, projected_nacb
from dispatch.projection import daily_heat
from dispatch.season import assumptions as assumed
from dispatch.season.co_op import MATURITY, CoOp, climate

Floats = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]

MATURE, NEARLY, NOT_YET = "mature", "nearly", "not_yet"
#: Age of a visit at noon on the next morning [days].
NEXT_MORNING_DAYS = 0.75


@dataclass(frozen=True, eq=False)
class Scouting:
    """Last count of each field as known on each morning, shape (fields, days).

    ``counted`` is NaN before the first visit; ``visited`` the day of that visit, -1 before it.
    """

    counted: Floats
    visited: Whole


def true_nacb(co_op: CoOp, low_f: Floats, high_f: Floats) -> Floats:
    """Nodes above cracked boll of each field on the morning of each day, shape (fields, days)."""
    here = climate()
    first = assumed.FIRST_DAY.timetuple().tm_yday
    normal = daily_heat(here, assumed.FIRST_DAY, int(co_op.mature_day.max()) - first + 2)
    to_mature = np.interp(
        co_op.mature_day - first, np.arange(normal.size + 1), np.append(0, normal.cumsum())
    )
    start = MATURITY.nacb_max + to_mature / MATURITY.node_heat_f_days
    heat = daily_heat_units(high_f, low_f).cumsum()
    since = np.concatenate([[0.0], heat[:-1]])
    return np.asarray(
        projected_nacb(start[:, None], since[None, :], MATURITY.node_heat_f_days), float
    )


def draw_scouting(seed: int, season: int, nacb: Floats) -> Scouting:
    """Counts by visits every week, and more often to fields that are nearly mature.

    The visits do not depend on any rule: every rule is told the same counts.
    """
    rng = np.random.default_rng([seed, season, 2])
    fields, days = nacb.shape
    seen = nacb + assumed.COUNT_SD * rng.standard_normal(nacb.shape)
    seen = np.maximum(0.0, seen.round(1))
    counted, visited = np.full(nacb.shape, np.nan), np.full(nacb.shape, -1, dtype=np.int64)
    lag = rng.integers(0, assumed.VISIT_EVERY_DAYS, (fields,))
    due: Whole = lag + assumed.FIRST_MORNING - assumed.VISIT_EVERY_DAYS
    last = np.full(fields, np.nan)
    on = np.full(fields, -1)
    for day in range(days):
        counted[:, day], visited[:, day] = last, on
        now = due == day
        last[now] = seen[now, day]
        on[now] = day
        near = (last > MATURITY.nacb_max) & (last <= MATURITY.nacb_nearly_max)
        every = np.where(near, assumed.VISIT_NEARLY_EVERY_DAYS, assumed.VISIT_EVERY_DAYS)
        due = np.where(now, day + every, due)
    return Scouting(counted, visited)


def cut_test_passes(seed: int, season: int, nacb: Floats) -> npt.NDArray[np.bool_]:
    """Whether the cut bolls would be found mature on each day, shape (fields, days)."""
    rng = np.random.default_rng([seed, season, 3])
    give = assumed.CUT_SD * rng.standard_normal((nacb.shape[0], 1))
    return np.asarray(nacb + give <= assumed.CUT_PASSES_NACB)


def state_of(counted: float) -> str:
    """The verdict on a count that is not older than a week."""
    verdict = judge(nacb=counted, visit_age_days=NEXT_MORNING_DAYS, rules=MATURITY)
    return verdict.state


def day_on(day: int) -> date:
    """Date of a simulated day."""
    return assumed.FIRST_DAY + timedelta(days=int(day))
