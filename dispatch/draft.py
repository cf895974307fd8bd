"""One field on its way to a call: the verdict first, then figures and words."""

from dataclasses import dataclass
from datetime import date, datetime

from dispatch.bench import Bench
from dispatch.crop_cost import spray_now_costs_crop_pct, waiting_costs_crop_pct
from dispatch.decide import Verdict
from dispatch.farm_morning import clock_of
from dispatch.figures import (
    factors_at,
    first_start_h,
    freeze_figures,
    heat_units_7d_f_days,
    hour_strip,
    next_spray_day,
    spray_by,
    windows_of,
)
from dispatch.forecast_age import forecast_figures
from dispatch.in_order import TieKey, tie_key
from dispatch.line import rig_hours
from dispatch.reasons import Case, because, figures_in_words, to_do
from dispatch.record_figures import AfterFreeze
from dispatch.report import (
    Call,
    FieldCall,
    ForecastFigures,
    FreezeFigures,
    Standing,
    VisitGain,
)
from dispatch.season_strip import season_strip
from dispatch.visit_gain import visit_gain
from dispatch.warmth import heat_units_14d_f_days, leaf_drop_on
from dispatch.words import LocalClock
from farm.field import Field


@dataclass(frozen=True, eq=False)
class Draft:
    """One field on its way to a call."""

    bench: Bench
    row: int
    one: Field
    verdict: Verdict
    forecast: ForecastFigures
    first_h: int
    rig_hours: float
    frozen: AfterFreeze | None

    @property
    def standing(self) -> Standing:
        """How the field stands to the order."""
        picked = self.bench.picked.get(self.one.id)
        if picked is not None and picked.all_of(self.one):
            return "picked"
        if self.one.id in self.bench.farm.sprays:
            return "sprayed"
        return "open" if self.frozen is None else "frozen"

    @property
    def order_points(self) -> float | None:
        """Cost of waiting x acres / rig-hours [acre-points an hour]."""
        cost = self.verdict.cost_pct
        return None if cost is None else cost * self.one.acres / self.rig_hours

    @property
    def tie_key(self) -> TieKey:
        """What decides between fields that would lose the same."""
        until, bound = spray_by(self.bench.outlook, self.row, self.first_h)
        return tie_key(until, bound, self.bench.maturity[self.one.id].nodes_then, self.one.id)

    def finish(self) -> FieldCall:
        """The field's call with every figure and reason, its place in the order left open."""
        bench, row, verdict = self.bench, self.row, self.verdict
        rules = bench.farm.rules[self.one.id]
        hour = verdict.best_h if verdict.best_h is not None else self.first_h
        shown = self.forecast.age_mark not in ("very_old", "none")
        freeze = (
            freeze_figures(bench.outlook, bench.curve, row, hour, rules.gates)
            if shown
            else FreezeFigures()
        )
        heat = heat_units_7d_f_days(bench.outlook, row, hour) if shown else None
        case = self._case(freeze, heat)
        until, bound = spray_by(bench.outlook, row, self.first_h)
        acting = verdict.call in (Call.SPRAY, Call.SHORT)
        numbers = verdict.call is not Call.UNKNOWN
        deciding = because(case)
        cost = verdict.cost_pct
        return self.call_with(
            call=verdict.call,
            effect_pct=_rounded(verdict.effect_pct),
            back_of_line_pct=_rounded(verdict.back_pct),
            back_of_line_on=case.back_factors
            and case.clock.local(case.back_factors.start_utc).date(),
            cost_pct=_rounded(cost),
            acres_lost=None if cost is None else round(max(0.0, cost) * self.one.acres / 100, 2),
            order_points=_rounded(self.order_points),
            windows=windows_of(verdict, bench.outlook, bench.curve, row) if numbers else (),
            spray_by_utc=until if acting else None,
            spray_by_bound=bound if acting else None,
            freeze=freeze,
            rain_free_h=_rounded(float(bench.outlook.dry_h[row, hour])) if shown else None,
            heat_units_7d_f_days=heat,
            wait_until=self._wait_until(case),
            factors_now=case.now_factors,
            factors_back=case.back_factors,
            strip=(
                hour_strip(
                    verdict, bench.outlook, row, self.first_h, bench.farm.policy.decision_span_h
                )
                if shown
                else None
            ),
            season=(
                season_strip(verdict, bench.outlook, bench.curve, row, self.first_h, rules.gates)
                if shown
                else None
            ),
            visit_gain=self._visit_gain() if shown else None,
            **(self._warmth_ahead(hour) if shown else {}),
            **self._given_up(),
            because=deciding,
            reasons=(*deciding, *figures_in_words(case)),
            to_do=to_do(case),
        )

    def _warmth_ahead(self, from_h: int) -> dict[str, object]:
        outlook, clock = self.bench.outlook, self.clock
        climate = self.bench.farm.rules[self.one.id].climate
        heat, on_climate = heat_units_14d_f_days(outlook, self.row, from_h, climate, clock)
        return {
            "heat_units_14d_f_days": heat,
            "heat_14d_on_climate": on_climate,
            "leaf_drop_expected_on": self.leaf_drop_on(outlook.forecast.hour_utc(from_h)),
        }

    def leaf_drop_on(self, sprayed_utc: datetime) -> date | None:
        """Day on which leaf drop should be full after a spray at a moment."""
        climate = self.bench.farm.rules[self.one.id].climate
        outlook, east = self.bench.outlook, self.one.longitude
        return leaf_drop_on(outlook, self.row, sprayed_utc, east, climate, self.clock)

    def _given_up(self) -> dict[str, object]:
        """What spraying today and waiting give up of the crop; it has no part in the call."""
        now, told_by = spray_now_costs_crop_pct(self.bench.maturity[self.one.id].figures)
        frac = self.bench.farm.policy.spray_worth_frac
        return {
            "spray_now_costs_crop_pct": now,
            "spray_now_costs_by": told_by,
            "waiting_costs_crop_pct": waiting_costs_crop_pct(self.verdict.cost_pct, frac),
        }

    def _visit_gain(self) -> VisitGain | None:
        bench = self.bench
        return visit_gain(
            self.row,
            self.verdict,
            bench.maturity[self.one.id],
            bench.curve,
            first_h=self.first_h,
            span_h=bench.farm.policy.decision_span_h,
            back_from_h=bench.back_from_h(self.first_h),
            acres=self.one.acres,
        )

    def _case(self, freeze: FreezeFigures, heat: float | None) -> Case:
        bench = self.bench
        ahead = next_spray_day(
            bench.outlook, self.row, self.first_h + bench.farm.policy.decision_span_h
        )
        return Case(
            row=self.row,
            verdict=self.verdict,
            outlook=bench.outlook,
            readiness=bench.maturity[self.one.id],
            rules=bench.farm.rules[self.one.id],
            policy=bench.farm.policy,
            freeze=freeze,
            forecast=self.forecast,
            now_factors=factors_at(bench.outlook, bench.curve, self.row, self.verdict.best_h),
            back_factors=factors_at(bench.outlook, bench.curve, self.row, self.verdict.back_h),
            heat_7d_f_days=heat,
            line_days=bench.line.days,
            acres=self.one.acres,
            room=bench.room,
            next_spray=None if ahead is None else bench.outlook.forecast.hour_utc(ahead),
            clock=self.clock,
        )

    @property
    def clock(self) -> LocalClock:
        """The clock of the place the field lies in."""
        return clock_of(self.bench.farm, self.one, self.bench.now)

    def _wait_until(self, case: Case) -> date | None:
        if self.verdict.why == "better_later" and case.back_factors is not None:
            return case.clock.local(case.back_factors.start_utc).date()
        if self.verdict.why == "no_spray_hours" and case.next_spray is not None:
            return case.clock.local(case.next_spray).date()
        if self.verdict.why == "not_ready":
            return case.readiness.figures.look_again_on
        return None

    def call_with(self, **told: object) -> FieldCall:
        """The call with what holds for every field, however it stands."""
        farm = self.bench.farm
        rules = farm.rules[self.one.id]
        maturity = self.bench.maturity[self.one.id].figures
        if self.standing != "open":
            # Such a field ripens no further, and nobody waits for its count.
            maturity = maturity.model_copy(update={"coming_days": ()})
        return FieldCall(
            field=self.one,
            grower_name=farm.growers.get(self.one.grower_id, ""),
            treatment_name=rules.treatment.name,
            rig_hours=round(self.rig_hours, 3),
            rain_free_needed_h=rules.treatment.rain_free_h,
            maturity=maturity,
            forecast=self.forecast,
            **told,  # type: ignore[arg-type]
        )


def draft_of(bench: Bench, row: int, one: Field) -> Draft:
    """The verdict of one field, before its place is known."""
    told = forecast_figures(
        bench.outlook.forecast, int(bench.outlook.rows[row]), bench.now, bench.farm.policy
    )
    first = first_start_h(bench.outlook.forecast.start_utc, bench.now)
    verdict = bench.verdict(row, one, told, first)
    time_h = rig_hours(one.acres, bench.line.acres_per_rig_hour, bench.farm.policy.setup_h)
    return Draft(bench, row, one, verdict, told, first, time_h, bench.frozen(one))


def _rounded(value: float | None) -> float | None:
    if value is None or value != value:
        return None
    return round(value, 2)
