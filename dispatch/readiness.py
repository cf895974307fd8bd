"""What the last visit says of each field's maturity, and when it should be ready.

The verdict rests on counts made by a person. Dates ahead are a projection at the season's normal
heat with an assumed opening rate; they say when to look again and never make a field mature.
"""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import numpy.typing as npt

from agronomy.maturity import Maturity, judge
from agronomy.opening_rate import OpeningRate, chance_at_or_below_pct
from agronomy.thresholds import MaturityRules
from dispatch.count_figures import count_figures, count_sentences
from dispatch.field_rules import FieldRules
from dispatch.projection import (
    WITHIN_80_PCT_SD,
    days_to_ready,
    heat_between,
    nodes_ahead,
    nodes_today,
    rate_of,
    ready_dates,
)
from dispatch.report import ComingDay, MaturityFigures
from dispatch.words import LocalClock, amount, day, day_range, plural
from farm.field import Field
from farm.records import Visit

Floats = npt.NDArray[np.float64]

#: Points of percent open that go with one node above cracked boll. Four nodes go with about 60 %
#: open (Arizona, S18) and the walking band sets NACB 4 to 6 beside 60 to 40 %. Judgement.
OPEN_PER_NODE_PCT = 10.0

#: Longest a person should stay away from a field that is not ready [days]. Common practice.
LOOK_AGAIN_DAYS = 7


@dataclass(frozen=True)
class Readiness:
    """Maturity of one field: the figures shown and the numbers the order needs.

    ``nodes_then`` is the node count at the visit, or its equivalent from percent open; None
    without a count. ``days_to_ready`` counts days at normal heat from today on the counts as
    they stood and the assumed rate, None when never or not known; the line is counted with it.
    ``disagree`` marks counts that contradict each other. ``chance_mature_now_pct`` is the chance
    that the projected count of today is at or below the limit, None without a count.
    ``leaf_drops`` holds every leaf drop seen: when, and the share of the leaves off [%].
    """

    figures: MaturityFigures
    nodes_then: float | None
    heat_since_f_days: float
    days_to_ready: float | None
    disagree: bool
    rate: OpeningRate | None = None
    chance_mature_now_pct: float | None = None
    leaf_drops: tuple[tuple[datetime, float], ...] = ()


def judge_maturity(
    visits: Sequence[Visit],
    registered: Sequence[Field],
    rules: Mapping[str, FieldRules],
    now: datetime,
) -> dict[str, Readiness]:
    """Judge every field by its newest visit up to ``now``.

    Two scouts within a day of each other who come to different verdicts leave the field not
    known, and the reason says so.
    """
    by_field: dict[str, list[Visit]] = {one.id: [] for one in registered}
    for visit in visits:
        if visit.field_id in by_field and visit.observed_utc <= now:
            by_field[visit.field_id].append(visit)
    return {one.id: _judge_field(one, by_field[one.id], rules[one.id], now) for one in registered}


def unreadable(why: str) -> Readiness:
    """Nothing is known of a field, whatever its other records say; ``why`` is a sentence."""
    return Readiness(MaturityFigures(state="unknown", reasons=(why,)), None, 0.0, None, False)


def _judge_field(one: Field, visits: list[Visit], rules: FieldRules, now: datetime) -> Readiness:
    if not visits:
        figures = MaturityFigures(state="unknown", reasons=("Never scouted.",))
        return Readiness(figures, None, 0.0, None, False)
    visits.sort(key=lambda visit: visit.observed_utc)
    newest = visits[-1]
    verdict = _verdict(newest, rules.maturity, now)
    other = _contradiction(visits, verdict, rules.maturity, now)
    clock = LocalClock(one.time_zone, one.time_zone, now.astimezone(ZoneInfo(one.time_zone)).date())
    state = "unknown" if other else verdict.state
    reasons: tuple[str, ...] = (_counted(newest, verdict, clock),)
    if other:
        reasons = (_two_scouts(newest, other, clock), *reasons)
    counts = count_figures(newest, rules.maturity.nacb_max, speaks=state != "unknown")
    reasons += count_sentences(newest, counts, rules.maturity.nacb_max)
    nodes = _nodes(newest)
    since = heat_between(rules.climate, clock.local(newest.observed_utc).date(), clock.today)
    rate = rate_of(visits, rules, clock)
    ready = ready_dates(nodes, since, rules, rate, clock.today, verdict.state)
    today = nodes_today(nodes, since, rate)
    figures = MaturityFigures(
        state=state,
        nodes_above_cracked_boll=newest.nodes_above_cracked_boll,
        percent_open=newest.percent_open,
        plants_counted=newest.plants_counted,
        visited_utc=newest.observed_utc,
        visit_age_days=round(_age_days(newest, now), 2),
        scout=newest.scout,
        cut_test=verdict.cut_test,
        ready_on=ready[0],
        ready_on_earliest=ready[1],
        ready_on_latest=ready[2],
        look_again_on=_look_again(ready[1], clock.today, state),
        nacb_today=today and round(today[0], 2),
        nacb_today_low=today and round(max(0.0, today[0] - WITHIN_80_PCT_SD * today[1]), 2),
        nacb_today_high=today and round(today[0] + WITHIN_80_PCT_SD * today[1], 2),
        opening_visits=rate.visits,
        reasons=reasons,
        coming_days=()
        if nodes is None or verdict.state == "mature"
        else coming_days(newest, nodes_ahead(nodes, since, rules, rate, clock.today)),
        **asdict(counts),
    )
    days = days_to_ready(nodes, 0.0, rules, clock.today)
    limit = rules.maturity.nacb_max
    chance = None if today is None else chance_at_or_below_pct(limit, *today)
    drops = tuple(
        (one.observed_utc, one.leaf_drop_pct) for one in visits if one.leaf_drop_pct is not None
    )
    return Readiness(figures, nodes, since, days, verdict.disagree, rate, chance, drops)


def _verdict(visit: Visit, rules: MaturityRules, now: datetime) -> Maturity:
    return judge(
        nacb=visit.nodes_above_cracked_boll,
        percent_open=visit.percent_open,
        bolls_cut=visit.bolls_cut,
        bolls_cut_mature=visit.bolls_cut_mature,
        vegetative_bolls_cut=visit.vegetative_bolls_cut,
        vegetative_bolls_mature=visit.vegetative_bolls_mature,
        visit_age_days=_age_days(visit, now),
        windshield=visit.windshield,
        rules=rules,
    )


def _age_days(visit: Visit, now: datetime) -> float:
    return (now - visit.observed_utc) / timedelta(days=1)


def _contradiction(
    visits: Sequence[Visit], verdict: Maturity, rules: MaturityRules, now: datetime
) -> Visit | None:
    newest = visits[-1]
    for visit in visits[-2::-1]:
        if newest.observed_utc - visit.observed_utc > timedelta(days=1):
            return None
        if visit.scout != newest.scout and _verdict(visit, rules, now).state != verdict.state:
            return visit
    return None


def _two_scouts(newest: Visit, other: Visit, clock: LocalClock) -> str:
    first, second = (
        f"{visit.scout or 'somebody'} {clock.moment(visit.observed_utc)}: {_figures_of(visit)}"
        for visit in (other, newest)
    )
    return f"Two scouts disagree ({first}; {second})."


def _counted(visit: Visit, verdict: Maturity, clock: LocalClock) -> str:
    """When and how it was counted, and what each figure is held against."""
    plants = f" on {plural(visit.plants_counted, 'plant')}" if visit.plants_counted else ""
    seen = "Seen from the road" if visit.windshield else "Counted"
    when = clock.day_name(clock.local(visit.observed_utc).date())
    return f"{seen} {when}{plants}: {'; '.join(verdict.reasons)}."


def _figures_of(visit: Visit) -> str:
    parts = []
    if visit.nodes_above_cracked_boll is not None:
        parts.append(f"NACB {amount(visit.nodes_above_cracked_boll)}")
    if visit.percent_open is not None:
        parts.append(f"{visit.percent_open:.0f} % open")
    return ", ".join(parts) or "no count"


def _nodes(visit: Visit) -> float | None:
    if visit.nodes_above_cracked_boll is not None:
        return visit.nodes_above_cracked_boll
    if visit.percent_open is not None:
        return max(0.0, 4 + (60 - visit.percent_open) / OPEN_PER_NODE_PCT)
    return None


def coming_days(
    visit: Visit, ahead: Sequence[tuple[date, float, float, float]]
) -> tuple[ComingDay, ...]:
    """Coming days with percent open carried on from the visit's, or from its nodes alone."""
    nodes, seen = _nodes(visit), visit.percent_open
    assert nodes is not None
    if seen is None:
        seen = 60 + (4 - nodes) * OPEN_PER_NODE_PCT
    return tuple(
        ComingDay(
            date=on,
            nacb=round(middle, 2),
            nacb_low=round(low, 2),
            nacb_high=round(high, 2),
            percent_open=round(
                min(100.0, max(0.0, seen + (nodes - middle) * OPEN_PER_NODE_PCT)), 1
            ),
        )
        for on, middle, low, high in ahead
    )


def _look_again(earliest: date | None, today: date, state: str) -> date | None:
    if state == "mature":
        return None
    if state == "unknown":
        return today
    latest = today + timedelta(days=LOOK_AGAIN_DAYS)
    if earliest is None:
        return latest
    return min(latest, max(today + timedelta(days=1), earliest))


def ready_words(figures: MaturityFigures) -> str:
    """When a field should be ready: ``about Fri 9 Oct (7-12 Oct)``, or that it may not be."""
    if figures.ready_on is None:
        return "on no day this season"
    early, late = figures.ready_on_earliest, figures.ready_on_latest
    if early is None or late is None:
        return f"about {day(figures.ready_on)} or later"
    return f"about {day(figures.ready_on)} ({day_range(early, late)})"
