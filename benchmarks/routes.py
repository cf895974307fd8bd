"""Plans of rigs: the search beside the plan made by hand, and beside published instances.

    python -m benchmarks.routes [--seconds 30] [--large]
    python -m benchmarks.routes --solomon FILE --seconds 15

The first prints a table of invented regions, every plan checked by the independent checker. The
goals are 10 % above the plan by hand (each field in the order of its effect to the end of the
best rig's list) for 200 fields, 8 rigs and 5 days in 30 s, and 5 % for 600, 40 and 5 in 60 s.

The second solves one instance of Solomon (1987) in VRPLIB form, distances cut to one decimal,
with the same search, and prints its name, distance, best known distance and the gap between; it
ends with 1 where the gap is over 1.5 %. Best known distances are those named by the libraries of
published instances, written down here.
"""

import argparse
import sys
import time
from collections.abc import Callable
from pathlib import Path

from benchmarks.invented_rigs import invented_region
from benchmarks.solomon_best import BEST_KNOWN
from dispatch.routes.checker import check_plan
from dispatch.routes.draw_up import draw_up
from dispatch.routes.planner import best_routes
from dispatch.routes.search import search

#: Widest gap to the best known distance that passes [%].
WIDEST_GAP_PCT = 1.5
#: Fields, rigs, days and seconds of the table.
TABLE = ((200, 8, 5, 30.0),)
LARGE = ((600, 40, 5, 60.0),)


def main() -> int:
    """Run what was asked for and give the exit code."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--solomon", type=Path, metavar="FILE", help="one published instance")
    asked.add_argument("--seconds", type=float, help="time for each search")
    asked.add_argument("--seed", type=int, default=1, help="of the search and of the regions")
    asked.add_argument("--large", action="store_true", help="the large region too")
    told = asked.parse_args()
    if told.solomon:
        return _solomon(told.solomon, told.seconds or 15.0, told.seed)
    return _table((*TABLE, *(LARGE if told.large else ())), told.seconds, told.seed)


def _within(seconds: float) -> Callable[[object], bool]:
    ends = time.monotonic() + seconds
    return lambda _: time.monotonic() < ends


def _solomon(path: Path, seconds: float, seed: int) -> int:
    from pyvrp import read

    data = read(path, round_func="dimacs")
    best = search(data, None, seed, _within(seconds))
    name = path.stem
    known = BEST_KNOWN.get(name.upper())
    distance = best.distance() / 10
    if not best.is_feasible() or not best.is_complete():
        print(f"{name} no plan that works out in {seconds:g} s", file=sys.stderr)
        return 1
    if known is None:
        print(f"{name} {distance:.1f} not-known -")
        print(f"{name}: no best known distance is written down here", file=sys.stderr)
        return 1
    gap_pct = 100 * (distance - known) / known
    print(f"{name} {distance:.1f} {known:.1f} {gap_pct:.2f}%")
    return int(gap_pct > WIDEST_GAP_PCT)


def _table(rows: tuple[tuple[int, int, int, float], ...], seconds: float | None, seed: int) -> int:
    print(
        f"{'fields':>7}{'rigs':>5}{'days':>5}{'s':>5}{'by hand':>10}{'searched':>10}{'more':>8}"
        f"{'fields':>8}{'acres':>8}{'miles':>8}  checker"
    )
    code = 0
    for fields, rigs, days, limit in rows:
        region = invented_region(fields, rigs, days, seed)
        found = best_routes(region, _within(seconds or limit))
        plan = draw_up(region, found.routes, found.method)
        broken = [one for one in check_plan(region, plan) if "neither planned" not in one]
        more_pct = 100 * (found.gain_ac / found.by_hand_gain_ac - 1)
        print(
            f"{fields:7}{rigs:5}{days:5}{seconds or limit:5.0f}{found.by_hand_gain_ac:10.0f}"
            f"{found.gain_ac:10.0f}{more_pct:7.1f}%{plan.fields:8}{plan.acres:8.0f}"
            f"{plan.miles:8.0f}  {broken[0] if broken else 'keeps every rule'}"
        )
        code = code or int(bool(broken) or found.gain_ac < found.by_hand_gain_ac)
    return code


if __name__ == "__main__":
    sys.exit(main())
