"""Whether a field is mature, from the counts of its last visit, and why.

No single count decides: nodes above cracked boll (NACB), percent open and cut bolls speak
together, a cut test alone is no count, and an old visit says nothing.
"""

import math
from dataclasses import dataclass
from typing import Literal

from agronomy.maturity_counts import Counts, CutTest, checked_counts, number
from agronomy.maturity_loss import (
    boll_size_loss_pct,
    field_loss_pct,
    micronaire_loss_pct,
    projected_nacb,
)
from agronomy.thresholds import MaturityRules

__all__ = [
    "CutTest",
    "Maturity",
    "State",
    "boll_size_loss_pct",
    "field_loss_pct",
    "judge",
    "micronaire_loss_pct",
    "projected_nacb",
]

State = Literal["mature", "nearly", "not_yet", "unknown"]


@dataclass(frozen=True)
class Maturity:
    """What the counts say of a field.

    ``reasons`` are short plain sentences with numbers, the most telling first. ``cut_test`` is
    None where no main-stem boll was cut. ``disagree``: one count says mature, the other
    contradicts it, and no passed cut test has settled it.
    """

    state: State
    reasons: tuple[str, ...]
    cut_test: CutTest | None = None
    disagree: bool = False


def judge(
    *,
    nacb: float | None = None,
    percent_open: float | None = None,
    bolls_cut: int | None = None,
    bolls_cut_mature: int | None = None,
    vegetative_bolls_cut: int | None = None,
    vegetative_bolls_mature: int | None = None,
    visit_age_days: float | None = None,
    windshield: bool = False,
    rules: MaturityRules,
) -> Maturity:
    """Maturity of a field by its last visit.

    Parameters
    ----------
    nacb
        Nodes above cracked boll; None when not counted.
    percent_open
        Open bolls as a share of open and closed harvestable bolls [%]; None when not counted.
    bolls_cut, bolls_cut_mature
        Uppermost main-stem bolls sliced, and how many of them were mature.
    vegetative_bolls_cut, vegetative_bolls_mature
        The same on vegetative branches, which are judged by cutting only.
    visit_age_days
        Age of the visit [days]; None when there was none.
    windshield
        Percent open was estimated from the road.
    rules
        Limits.

    Returns
    -------
    Maturity
        Unknown without a recent visit or without a count; never mature with an immature cut boll.

    Raises
    ------
    ValueError
        For an impossible count, naming it.

    Notes
    -----
    A percent open below ``percent_open_cut_floor`` contradicts a mature node count even when the
    cut bolls are mature.

    Examples
    --------
    >>> judge(nacb=3.2, visit_age_days=1.0, rules=MaturityRules()).reasons
    ('NACB 3.2, at most 4 is mature',)
    """
    counts = checked_counts(
        nacb=nacb,
        percent_open=percent_open,
        bolls_cut=bolls_cut,
        bolls_cut_mature=bolls_cut_mature,
        vegetative_bolls_cut=vegetative_bolls_cut,
        vegetative_bolls_mature=vegetative_bolls_mature,
        windshield=windshield,
    )
    missing = _what_is_missing(counts, visit_age_days, rules)
    if missing:
        return Maturity("unknown", (missing,), counts.cut_test)
    return _by_cutting(counts, _by_counts(counts, rules))


def _what_is_missing(counts: Counts, age_days: float | None, rules: MaturityRules) -> str:
    if age_days is not None and math.isnan(age_days):
        raise ValueError("visit_age_days: got nan, wanted a number of days, or None for no visit")
    if age_days is None:
        return "no visit yet"
    if age_days < 0:
        return f"last visit is dated {_days(-age_days)} days ahead; check its date"
    if age_days > rules.visit_max_age_days:
        limit = number(rules.visit_max_age_days)
        return f"last visit {_days(age_days)} days ago, older than {limit}"
    if counts.nacb is None and counts.percent_open is None:
        if counts.cut_test:
            return f"{counts.cut_words}, but neither NACB nor percent open counted"
        return "neither NACB nor percent open counted"
    return ""


def _days(age_days: float) -> str:
    # Rounded up, or 7.04 days would read "7 days ago, older than 7".
    return number(math.ceil(age_days * 10) / 10)


def _by_counts(counts: Counts, rules: MaturityRules) -> Maturity:
    """The verdict of the two counts, with a passed cut test as tie-breaker."""
    nacb, open_pct, passed = counts.nacb, counts.percent_open, counts.cut_test == "passed"
    nodes_say = nacb is not None and nacb <= rules.nacb_max
    open_reached = open_pct is not None and open_pct >= rules.percent_open_min
    # A look from the road can contradict a count, never stand in for one.
    open_says = open_reached and not counts.windshield
    reasons = _figures(counts, rules)
    if not nodes_say and not open_says:
        return Maturity(_short_of(counts, rules), reasons, counts.cut_test)
    if nodes_say and (open_pct is None or open_reached):
        return Maturity("mature", reasons, counts.cut_test)
    if open_says and nacb is None:
        return Maturity("mature", reasons, counts.cut_test)
    if nodes_say:
        near = open_pct is not None and open_pct >= rules.percent_open_floor
        settled = open_pct is not None and open_pct >= rules.percent_open_cut_floor
    else:
        near = nacb is not None and nacb <= rules.nacb_ceiling
        settled = True
    if near:
        return Maturity("mature", (*reasons, "near agreement of both counts"), counts.cut_test)
    if passed and settled:
        return Maturity("mature", (*reasons, "the cut bolls settle it"), counts.cut_test)
    if passed:
        floor = f"fewer than {number(rules.percent_open_cut_floor)} % open is too few to settle it"
        return Maturity("nearly", ("the counts disagree", *reasons, floor), "passed", True)
    cut = "the counts disagree" + ("" if counts.cut_test else ": cut the top bolls")
    return Maturity("nearly", (cut, *reasons), counts.cut_test, True)


def _by_cutting(counts: Counts, verdict: Maturity) -> Maturity:
    """The verdict once immature cut bolls have had their veto, with what cutting showed."""
    reasons = verdict.reasons
    if counts.cut_test == "passed":
        reasons = (*reasons, counts.cut_words)
    state: State = "nearly" if counts.vetoes and verdict.state == "mature" else verdict.state
    return Maturity(state, (*counts.vetoes, *reasons), verdict.cut_test, verdict.disagree)


def _short_of(counts: Counts, rules: MaturityRules) -> State:
    nacb, open_pct = counts.nacb, counts.percent_open
    near_nodes = nacb is not None and nacb <= rules.nacb_nearly_max
    near_open = open_pct is not None and open_pct >= rules.percent_open_nearly_min
    return "nearly" if near_nodes or near_open else "not_yet"


def _figures(counts: Counts, rules: MaturityRules) -> tuple[str, ...]:
    figures = []
    if counts.nacb is not None:
        limit = number(rules.nacb_max)
        figures.append(f"NACB {number(counts.nacb)}, at most {limit} is mature")
    if counts.percent_open is not None:
        limit = number(rules.percent_open_min)
        figures.append(f"{number(counts.percent_open)} % open, at least {limit} is mature")
        if counts.windshield:
            figures.append("estimated from the road; count plants")
    return tuple(figures)
