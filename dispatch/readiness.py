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

from agronomy.maturity import Maturity, field_loss_pct, judge, projected_nacb
from agronomy.season import expected_excess_f, normal_on
from agronomy.thresholds import MaturityRules
from dispatch.count_figures import count_figures, count_sentences
from dispatch.field_rules import FieldRules
from dispatch.policy import Climate, DispatchPolicy
from dispatch.report import MaturityFigures
from dispatch.words import LocalClock, amount, day, day_range, plural
from farm.field import Field
from farm.records import Visit

Floats = npt.NDArray[np.float64]

#: Points of percent open that go with one node above cracked boll. Four nodes go with about 60 %
#: open (Arizona, S18) and the walking band sets NACB 4 to 6 beside 60 to 40 %. Judgement.
OPEN_PER_NODE_PCT = 10.0

#: How much faster and slower than assumed the bolls may open, for the range of dates. Judgement.
RATE_FAST, RATE_SLOW = 1.3, 0.75

#: Days ahead a projection is carried [days].
PROJECTION_DAYS = 60

#: Longest a person should stay away from a field that is not ready [days]. Common practice.
LOOK_AGAIN_DAYS = 7


@dataclass(frozen=True)
class Readiness:
    """Maturity of one field: the figures shown and the numbers the order needs.

    ``nodes_then`` is the node count at the visit, or its equivalent from percent open; None
    without a count. ``days_to_ready`` counts days at normal heat from today on the counts as
    they stood, None when never or not known; the line is counted with it. ``disagree`` marks
    counts that contradict each other.
    """

    figures: MaturityFigures
    nodes_then: float | None
    heat_since_f_days: float
    days_to_ready: float | None
    disagree: bool


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
    ready = _ready_dates(nodes, since, rules, clock.today, verdict.state)
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
        reasons=reasons,
        **asdict(counts),
    )
    days = _days_to_ready(nodes, 0.0, rules, clock.today)
    return Readiness(figures, nodes, since, days, verdict.disagree)


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


def heat_between(climate: Climate, first: date, last: date) -> float:
    """Normal heat from one day up to another [F days, base 60], 0 when they are the same."""
    return float(_daily_heat(climate, first, max(0, (last - first).days)).sum())


def _daily_heat(climate: Climate, first: date, days: int) -> Floats:
    day_of_year = first.timetuple().tm_yday + np.arange(days)
    mean = (
        normal_on(day_of_year, climate.normal_high_f) + normal_on(day_of_year, climate.normal_low_f)
    ) / 2
    return expected_excess_f(mean, climate.temp_sd_f)


def _days_to_ready(
    nodes: float | None, since_f_days: float, rules: FieldRules, today: date, rate: float = 1.0
) -> float | None:
    if nodes is None:
        return None
    to_go = (nodes - rules.maturity.nacb_max) * rules.maturity.node_heat_f_days / rate
    to_go -= since_f_days
    if to_go <= 0:
        return 0.0
    ahead = np.cumsum(_daily_heat(rules.climate, today, PROJECTION_DAYS))
    reached = np.nonzero(ahead >= to_go)[0]
    return float(reached[0] + 1) if reached.size else None


def _ready_dates(
    nodes: float | None, since: float, rules: FieldRules, today: date, state: str
) -> tuple[date | None, date | None, date | None]:
    if state == "mature":
        return None, None, None
    days = [
        _days_to_ready(nodes, since, rules, today, rate) for rate in (1.0, RATE_FAST, RATE_SLOW)
    ]
    return tuple(  # type: ignore[return-value]
        None if one is None else today + timedelta(days=one) for one in days
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


def ready_hours(
    readiness: Mapping[str, Readiness],
    registered: Sequence[Field],
    rules: Mapping[str, FieldRules],
    policy: DispatchPolicy,
    now: datetime,
    hours: int,
) -> Floats:
    """Readiness of each field over the hours ahead, shape (fields, hours), 0 to 1.

    1 for a field judged mature; otherwise one less the loss of yield at the projected node
    count beyond that of a mature field, over what a spray is worth. Fields without a count have 1,
    which is never used for a call.
    """
    ready = np.ones((len(registered), hours))
    days = -(-hours // 24)
    for row, one in enumerate(registered):
        known, rule = readiness[one.id], rules[one.id]
        if known.nodes_then is None or known.figures.state == "mature":
            continue
        today = now.astimezone(ZoneInfo(one.time_zone)).date()
        heat = np.repeat(_daily_heat(rule.climate, today, days) / 24, 24)[:hours].cumsum()
        nodes = projected_nacb(
            known.nodes_then, known.heat_since_f_days + heat, rule.maturity.node_heat_f_days
        )
        loss = np.maximum(field_loss_pct(nodes) - field_loss_pct(rule.maturity.nacb_max), 0) / 100
        ready[row] = np.maximum(0, 1 - loss / policy.spray_worth_frac)
    return ready


def ready_words(figures: MaturityFigures) -> str:
    """When a field should be ready: ``about Fri 9 Oct (7-12 Oct)``, or that it may not be."""
    if figures.ready_on is None:
        return "on no day this season"
    early, late = figures.ready_on_earliest, figures.ready_on_latest
    if early is None or late is None:
        return f"about {day(figures.ready_on)} or later"
    return f"about {day(figures.ready_on)} ({day_range(early, late)})"
