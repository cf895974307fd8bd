"""Our own rule in a simulated season: the calls and the order of a real morning.

Verdicts come from `Bench.verdict`, the line from `line_of`, the order from the ranking itself, each
fed with what the morning sees. What is spared is what no call rests on: words and figures.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

import numpy as np

from dispatch.bench import Bench
from dispatch.decide import Verdict
from dispatch.draft import Draft
from dispatch.farm_morning import FarmMorning
from dispatch.forecast_age import forecast_figures
from dispatch.in_order import by_cost
from dispatch.line import Line, line_of, rig_hours
from dispatch.projection import days_to_ready

# The order itself, so that this rule cannot drift from the one that is sent out.
from dispatch.readiness import Readiness
from dispatch.report import Call, MaturityFigures
from dispatch.season.co_op import KINDS, POLICY, ZONE, CoOp, rules_of_mixes
from dispatch.season.crop import day_on
from dispatch.season.rules import View
from dispatch.season.seen import KindFields

ACTING = (Call.SPRAY, Call.SHORT)
_FIGURES = {
    state: MaturityFigures(state=state) for state in ("mature", "nearly", "not_yet", "unknown")
}


@cache
def _days_to_ready(counted: float, day: int) -> float | None:
    # All seasons share one climate and counts come in tenths, so few are ever worked out.
    return days_to_ready(counted, 0.0, rules_of_mixes()[0], day_on(day))


def readiness_of(state: str, counted: float, day: int) -> Readiness:
    """Readiness of a field as the line and the order of a mature field read it."""
    if counted != counted:
        return Readiness(_FIGURES["unknown"], None, 0.0, None, False)
    return Readiness(_FIGURES[state], counted, 0.0, _days_to_ready(counted, day), False)


@dataclass(eq=False)
class OurRule:
    """The rule for a block of seasons."""

    standing: KindFields
    co_ops: Sequence[CoOp]
    farms: list[FarmMorning] = field(default_factory=list)

    def __post_init__(self) -> None:
        by_mix = rules_of_mixes()
        for row, co_op in enumerate(self.co_ops):
            kinds = self.standing.fields[row]
            rules = {one.id: self.standing.rules[one.id] for one in kinds}
            for one, kind in zip(co_op.registered, co_op.kind, strict=True):
                rules[one.id] = by_mix[KINDS[kind].mix]
            self.farms.append(
                FarmMorning(
                    name="Simulated co-op",
                    time_zone=ZONE,
                    registered=co_op.registered,
                    rules=rules,
                    rigs=co_op.rigs,
                    growers={},
                    treatments={},
                    sprays={},
                    policy=POLICY,
                )
            )

    def __call__(self, view: View) -> list[int]:
        """Fields called spray or short, in the order of the ranking."""
        bench = self.bench(view)
        tie = POLICY.tie_points * bench.line.acres_per_rig_hour
        ordered = by_cost(self.acting(view, bench), tie)
        place = {one.id: at for at, one in enumerate(view.co_op.registered)}
        return [place[draft.one.id] for draft in ordered]

    def acting(self, view: View, bench: Bench) -> list[Draft]:
        """Fields called spray or short."""
        return [one for one in self.drafts(view, bench) if one.verdict.call in ACTING]

    def bench(self, view: View) -> Bench:
        """The bench of one season's morning."""
        farm, day = self.farms[view.place], view.seen.day
        maturity = {
            farm.registered[one].id: readiness_of(
                str(view.state[one]), float(view.counted[one]), day
            )
            for one in np.nonzero(view.open)[0]
        }
        mature = Readiness(_FIGURES["mature"], 0.0, 0.0, 0.0, False)
        maturity |= {one.id: mature for one in self.standing.fields[view.place]}
        line = self._line(view, farm, maturity)
        seen = view.seen
        return Bench(farm, seen.outlook, seen.curve, maturity, line, {}, None, seen.now)

    def drafts(self, view: View, bench: Bench) -> list[Draft]:
        """Drafts of the fields that may go; all of one kind share their verdict."""
        verdicts: dict[int, Verdict] = {}
        outlook, drafts = view.seen.outlook, []
        for one in view.may_go:
            kind, row = int(view.co_op.kind[one]), view.row(int(one))
            told = forecast_figures(outlook.forecast, int(outlook.rows[row]), view.seen.now, POLICY)
            if kind not in verdicts:
                standing = self.standing.fields[view.place][kind]
                verdicts[kind] = bench.verdict(row, standing, told, 0)
            field_ = view.co_op.registered[one]
            time_h = rig_hours(field_.acres, bench.line.acres_per_rig_hour, POLICY.setup_h)
            drafts.append(Draft(bench, row, field_, verdicts[kind], told, 0, time_h, None))
        return drafts

    def _line(self, view: View, farm: FarmMorning, maturity: Mapping[str, Readiness]) -> Line:
        unsprayed = [one for one, still in zip(farm.registered, view.open, strict=True) if still]
        return line_of(unsprayed, maturity, farm.rigs, POLICY)


class OurOrderNeverWaiting(OurRule):
    """The order alone: mature fields that would do better later stand in it too."""

    def acting(self, view: View, bench: Bench) -> list[Draft]:
        """Fields called spray or short, and those that wait for a better day."""
        drafts = self.drafts(view, bench)
        return [
            one for one in drafts if one.verdict.call in ACTING or one.verdict.why == "better_later"
        ]
