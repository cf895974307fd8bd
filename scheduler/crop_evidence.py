"""Warmth against the trials, what an early spray gives up, and what comes after a spray."""

from datetime import date

from agronomy.leaf_drop import (
    EARLY_7_DAYS_F_DAYS,
    LATE_7_DAYS_F_DAYS,
    LEAF_DROP_BAR_PCT,
    OPENED_BY_DAY_7_F_DAYS,
    OPENED_BY_DAY_14_F_DAYS,
    STRIPPER_LEAF_DROP_PCT,
)
from agronomy.maturity_loss import micronaire_loss_pct
from dispatch.report import FieldCall, FollowUp
from dispatch.words import LocalClock, amount, day
from scheduler.section import fact

_TRIALS_7_DAYS = (LATE_7_DAYS_F_DAYS, EARLY_7_DAYS_F_DAYS)
_TOLD_BY = {
    "nodes": "an upper bound, by the nodes",
    "open": "by percent open, from trials of early sprays",
}


def warmth_lines(one: FieldCall) -> list[str]:
    """Heat of one and two weeks beside that of the printed trials, and the day of leaf drop."""
    lines = []
    if one.heat_units_7d_f_days is not None:
        late, early = (f"{low:g} to {most:g}" for low, most in _TRIALS_7_DAYS)
        lines += [
            fact("warmth of 7 days", f"{amount(one.heat_units_7d_f_days)} DD60 (F days above 60F)"),
            f"  trials had {late} planted late, {early} planted early; by day 7 ethephon opened "
            f"more bolls in one only, at {OPENED_BY_DAY_7_F_DAYS:g} (S9)",
        ]
    if one.heat_units_14d_f_days is not None:
        least, most = OPENED_BY_DAY_14_F_DAYS
        filled = ", its end at the season's normal" if one.heat_14d_on_climate else ""
        lines += [
            fact("warmth of 14 days", f"{amount(one.heat_units_14d_f_days)} DD60{filled}"),
            f"  trials had {least:g} to {most:g}; by day 14 ethephon opened more in all (S9)",
        ]
    if one.leaf_drop_expected_on is not None:
        lines.append(_expected(one.leaf_drop_expected_on, " if sprayed now"))
    return lines


def _expected(on: date, when: str) -> str:
    return fact("leaf drop full about", f"{day(on)}{when}, by warmth; our own scale")


def given_up_lines(one: FieldCall) -> list[str]:
    """What it costs of the crop to spray today and to wait, and what it does to micronaire."""
    now, wait = one.spray_now_costs_crop_pct, one.waiting_costs_crop_pct
    lines = []
    if now is not None and one.spray_now_costs_by is not None:
        today = f"about {amount(now)} % of the crop to spray today"
        lines.append(fact("costs", f"{today}, {_waiting(wait)}"))
        lines.append(f"  spraying: {_TOLD_BY[one.spray_now_costs_by]}; it has no part in the call")
    nodes = one.maturity.nodes_above_cracked_boll
    if lines and nodes is not None:
        less = float(micronaire_loss_pct(nodes))
        said = f"{amount(less)} % less" if less >= 0.05 else "nothing lost"
        lines.append(fact("micronaire", f"{said} in bolls at the top node"))
    return lines


def _waiting(wait_pct: float | None) -> str:
    if wait_pct is None:
        return "to wait not known"
    if wait_pct < 0:
        return f"waiting gains about {amount(-wait_pct)} %"
    return f"about {amount(wait_pct)} % to wait"


def after_spray_lines(done: FollowUp, clock: LocalClock) -> list[str]:
    """Leaf drop seen and expected, whether it wants more, and when harvest may begin."""
    lines = []
    if done.leaf_drop_expected_on is not None:
        lines.append(_expected(done.leaf_drop_expected_on, ""))
    if done.leaf_drop_pct is not None and done.leaf_drop_seen_utc is not None:
        bars = f"{LEAF_DROP_BAR_PCT:g} is enough, {STRIPPER_LEAF_DROP_PCT:g} for a stripper"
        seen = clock.moment(done.leaf_drop_seen_utc)
        lines.append(fact("leaf drop seen", f"{amount(done.leaf_drop_pct)} % {seen}; {bars}"))
    if done.second_pass:
        lines.append(fact("second pass", done.second_pass_words))
    if done.harvest_from is not None:
        label = (
            "with the label's days counted in"
            if done.harvest_label_entered
            else "the label's days are not entered: read the label"
        )
        lines.append(fact("harvest from", f"{day(done.harvest_from)}, later if cool; {label}"))
    return lines
