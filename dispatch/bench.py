"""The bench of one morning: all that a field's call is made with."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from agronomy.three_valued import UNKNOWN
from dispatch.decide import Verdict, decide
from dispatch.effect import EffectCurve
from dispatch.farm_morning import FarmMorning
from dispatch.harvest_room import Picked
from dispatch.line import Line
from dispatch.outlook import Outlook
from dispatch.past_freeze import field_after_freeze, freeze_this_morning
from dispatch.readiness import Readiness
from dispatch.record_figures import AfterFreeze, HarvestRoom
from dispatch.report import Call, ForecastFigures
from farm.field import Field


@dataclass(frozen=True, eq=False)
class Bench:
    """What every field's draft is made with."""

    farm: FarmMorning
    outlook: Outlook
    curve: EffectCurve
    maturity: Mapping[str, Readiness]
    line: Line
    picked: Mapping[str, Picked]
    room: HarvestRoom | None
    now: datetime

    def back_from_h(self, first_h: int) -> int:
        """First hour from the back of the line."""
        return first_h + max(self.farm.policy.decision_span_h, 24 * self.line.days)

    def verdict(self, row: int, one: Field, told: ForecastFigures, first_h: int) -> Verdict:
        """The call by the field's own gates, then by what holds beside them."""
        gates = self.farm.rules[one.id].gates
        verdict = decide(
            row,
            self.outlook,
            self.curve,
            self.maturity[one.id],
            self.farm.policy,
            age_h=told.age_h,
            first_h=first_h,
            back_from_h=self.back_from_h(first_h),
            nights_seen_min=gates.nights_seen_min,
        )
        if verdict.call not in (Call.SPRAY, Call.SHORT):
            return verdict
        if freeze_this_morning(self.outlook, row, one.cold_spot_f, gates.killing_f)[0] == UNKNOWN:
            return verdict.held_back(Call.UNKNOWN, "dawn_hole")
        if self.room is not None and self.room.full:
            return verdict.held_back(Call.WAIT, "harvest_full")
        return verdict

    def frozen(self, one: Field) -> AfterFreeze | None:
        """How a field stands after a killing freeze; one before its spray does not count."""
        farm, spray = self.farm, self.farm.sprays.get(one.id)
        since_spray = [
            freeze
            for freeze in farm.freezes.get(one.id, ())
            if spray is None or freeze.froze_utc > spray.sprayed_utc
        ]
        return field_after_freeze(farm, one, since_spray, self.now)
