"""Our rule with its looks obeyed: a field told to be walked is walked, and sprayed if it passes.

The cut bolls decide, as seen by whoever walks there; that they pass up to a true node count is an
assumption. Such a field stands in the order by its own number among those to spray.
"""

from dataclasses import dataclass, field, replace
from functools import cache

import numpy as np
import numpy.typing as npt

from dispatch.bench import Bench
from dispatch.draft import Draft
from dispatch.forecast_age import forecast_figures
from dispatch.line import rig_hours
from dispatch.projection import heat_between
from dispatch.readiness import Readiness
from dispatch.ready_hours import ready_hours
from dispatch.report import Call
from dispatch.season.co_op import POLICY, climate
from dispatch.season.crop import NEARLY, day_on
from dispatch.season.ours import OurRule, readiness_of
from dispatch.season.rules import View
from farm.field import Field

Floats = npt.NDArray[np.float64]


@dataclass(eq=False)
class OurRuleWalked(OurRule):
    """The rule, and the fields it tells to walk where the cut bolls pass on that day."""

    kept_day: int = -1
    kept: dict[tuple[int, int, float], Floats] = field(default_factory=dict)

    def acting(self, view: View, bench: Bench) -> list[Draft]:
        """Fields called spray or short, and those walked that pass."""
        passing = [one for one in self.looks(view, bench) if view.passes[one[0]]]
        return [*super().acting(view, bench), *(draft for _, draft in passing)]

    def _ready(
        self, one: Field, known: Readiness, bench: Bench, counted: tuple[int, int, float]
    ) -> Floats:
        """Readiness ahead; fields counted alike on one day share it, on one morning."""
        if counted[0] != self.kept_day:
            self.kept_day, self.kept = counted[0], {}
        if counted not in self.kept:
            hours = bench.curve.effect_pct.shape[1]
            rows = ready_hours({one.id: known}, [one], bench.farm.rules, POLICY, bench.now, hours)
            self.kept[counted] = rows[0]
        return self.kept[counted]

    def looks(self, view: View, bench: Bench) -> list[tuple[int, Draft]]:
        """Fields told to be walked today."""
        nearly = np.nonzero(view.open & (view.state == NEARLY))[0]
        if not nearly.size:
            return []
        farm, day = bench.farm, view.seen.day
        fields = [farm.registered[one] for one in nearly]
        maturity, ready = dict(bench.maturity), []
        for at, one in zip(nearly, fields, strict=True):
            visited, counted = int(view.visited[at]), float(view.counted[at])
            since = _heat_since(visited, day)
            known = replace(readiness_of(NEARLY, counted, day), heat_since_f_days=since)
            maturity[one.id] = known
            ready.append(self._ready(one, known, bench, (day, visited, counted)))
        scratch = bench.curve.effect_pct.copy()
        bench = replace(bench, curve=replace(bench.curve, effect_pct=scratch), maturity=maturity)
        told = []
        for at, one, share in zip(nearly, fields, ready, strict=True):
            row = view.row(int(at))
            kept = scratch[row].copy()
            scratch[row] *= share
            outlook = bench.outlook
            age = forecast_figures(outlook.forecast, int(outlook.rows[row]), bench.now, POLICY)
            verdict = bench.verdict(row, one, age, 0)
            scratch[row] = kept
            if verdict.call is Call.LOOK:
                time_h = rig_hours(one.acres, bench.line.acres_per_rig_hour, POLICY.setup_h)
                told.append((int(at), Draft(bench, row, one, verdict, age, 0, time_h, None)))
        return told


@cache
def _heat_since(visited: int, day: int) -> float:
    return heat_between(climate(), day_on(visited), day_on(day))
