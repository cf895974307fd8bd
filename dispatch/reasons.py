"""Why a field stands where it stands, in plain words with numbers, and what to do about it."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from agronomy.three_valued import NO, UNKNOWN
from dispatch.decide import Verdict, Why
from dispatch.effect import WORK_DAYS
from dispatch.field_rules import FieldRules
from dispatch.outlook import Outlook
from dispatch.policy import DispatchPolicy
from dispatch.readiness import Readiness, ready_words
from dispatch.record_figures import HarvestRoom
from dispatch.report import Factors, ForecastFigures, FreezeFigures
from dispatch.words import LocalClock, age, amount, chance, day, plural, temp

#: Plants to count on a visit. Sampling of 15 to 100 plants was found adequate through a season
#: (Wolfenbarger 1983, S60); 12 is common practice, no source.
PLANTS_TO_COUNT = 12


@dataclass(frozen=True, eq=False)
class Case:
    """Everything the words about one field are made from."""

    row: int
    verdict: Verdict
    outlook: Outlook
    readiness: Readiness
    rules: FieldRules
    policy: DispatchPolicy
    freeze: FreezeFigures
    forecast: ForecastFigures
    now_factors: Factors | None
    back_factors: Factors | None
    heat_7d_f_days: float | None
    line_days: int
    acres: float
    room: HarvestRoom | None
    next_spray: datetime | None
    clock: LocalClock


def because(case: Case) -> tuple[str, ...]:
    """What decides the call, where that is more than its figures say."""
    return _DECIDING[case.verdict.why](case)


def figures_in_words(case: Case) -> tuple[str, ...]:
    """Effect, maturity, freeze odds and warmth as sentences."""
    return (*_effect(case), *_beside(case))


def place_sentence(place: int) -> str:
    """Where a field to walk would stand in everybody's order."""
    return f"If its bolls are mature it goes {ordinal(place)}."


def to_do(case: Case) -> str:
    """What a person does next, empty where the call itself says it."""
    why = case.verdict.why
    if why == "walk":
        return f"Walk it today: count NACB on {PLANTS_TO_COUNT} plants and cut the top bolls."
    if why == "maturity_unknown":
        return f"Scout it: count NACB and open bolls on {PLANTS_TO_COUNT} plants or more."
    if why == "harvest_full":
        return "Log what is picked; it is sprayed once the harvest has room."
    if why in ("hole", "dawn_hole", "stale", "no_forecast"):
        return "Look at the sky yourself; no call until the forecast is whole again."
    again = case.readiness.figures.look_again_on
    if why == "not_ready" and again is not None:
        return f"Look again {day(again)}."
    return ""


def _window(case: Case) -> tuple[str, ...]:
    return ()


def _effect(case: Case) -> tuple[str, ...]:
    verdict, later = case.verdict, case.back_factors
    if case.verdict.why not in ("window", "partial", "walk"):
        return ()
    if verdict.effect_pct is None or verdict.back_pct is None or later is None:
        return ("Effect not known.",)
    when = case.clock.day_name(case.clock.local(later.start_utc).date())
    line = plural(case.line_days, "day")
    return (
        f"Effect {verdict.effect_pct:.0f} now, {verdict.back_pct:.0f} from the back of the line "
        f"({when}; the line is {line} long).",
    )


def _partial(case: Case) -> tuple[str, ...]:
    hour = case.verdict.best_h
    if hour is None or case.now_factors is None:
        return ()
    told, row, outlook = case.now_factors, case.row, case.outlook
    days = case.rules.gates.freeze_free_days
    free = case.freeze.nights_free or 0
    short = []
    if outlook.freeze.gate[row, hour] == NO:
        lost = 100 * (told.warmth - told.warmth_alive) * told.dry * told.ready
        first = case.freeze.first_utc
        when = f" ({_freeze_words(case, first)})" if first else ""
        short.append(
            f"Short: {free} of {days} nights before a freeze{when}; "
            f"gives up about {lost:.0f} of 100."
        )
    elif outlook.freeze.gate[row, hour] == UNKNOWN:
        through = case.freeze.known_through_utc
        ends = f"; the forecast ends {case.clock.moment(through)}" if through else ""
        short.append(f"Short of sight: {free} of {days} nights seen, no freeze in them{ends}.")
    if outlook.dry[row, hour] == NO:
        need = case.rules.treatment.rain_free_h
        lost = 100 * (1 - told.dry) * told.warmth_alive * told.ready
        short.append(
            f"Short: rain looked for {amount(float(outlook.dry_h[row, hour]))} h after spraying, "
            f"{amount(need)} dry hours needed; gives up about {lost:.0f} of 100."
        )
    return tuple(short)


def _freeze_words(case: Case, first: datetime) -> str:
    coldest = case.freeze.low_f
    low = f", low {temp(coldest)}" if coldest is not None else ""
    return f"{case.clock.moment(first)}{low}"


def _walk(case: Case) -> tuple[str, ...]:
    cost = case.verdict.cost_pct or 0.0
    lost = amount(case.acres * cost / 100)
    return (f"Nearly mature, and waiting its turn costs about {cost:.0f} of 100 ({lost} ac).",)


def _not_ready(case: Case) -> tuple[str, ...]:
    return (f"Not mature yet; at normal heat ready {ready_words(case.readiness.figures)}.",)


def _better_later(case: Case) -> tuple[str, ...]:
    verdict, later = case.verdict, case.back_factors
    if later is None or verdict.back_pct is None or verdict.effect_pct is None:
        return ()
    when = day(case.clock.local(later.start_utc).date())
    return (
        f"Better off {when} even from the back of the line: effect {verdict.back_pct:.0f} then, "
        f"{verdict.effect_pct:.0f} now.",
    )


def _no_spray_hours(case: Case) -> tuple[str, ...]:
    span = case.policy.decision_span_h
    told = case.outlook.why_not[case.row, :span]
    light = case.outlook.sun.daylight[case.row, :span] == 1
    causes, counts = np.unique(
        [one for one in told[light] if one and not one.startswith("inversion")] or ["night"],
        return_counts=True,
    )
    cause = str(causes[int(np.argmax(counts))])
    ahead = (
        f"Next hours known to be good: {case.clock.moment(case.next_spray)}."
        if case.next_spray
        else "No good hours seen yet."
    )
    return (f"Mature, but no spray hours in the next {span} h: {cause}.", ahead)


def _hole(case: Case) -> tuple[str, ...]:
    hours = case.outlook.workable.shape[1]
    span = min(case.policy.decision_span_h, hours)
    row, outlook = case.row, case.outlook
    for hour in range(span):
        if outlook.workable[row, hour] == NO:
            continue
        words = str(outlook.why_not[row, hour])
        at = case.clock.moment(outlook.forecast.hour_utc(hour))
        if outlook.workable[row, hour] == UNKNOWN:
            lacking = _LACKING.get(words.removeprefix("not known: "), "part of it")
            return (f"The forecast has a hole: {lacking} not known {at}.",)
        if outlook.dry[row, hour] == UNKNOWN:
            need = amount(case.rules.treatment.rain_free_h)
            return (f"The forecast has a hole: rain not known in the {need} h after {at}.",)
        if outlook.freeze.gate[row, hour] == UNKNOWN:
            nights = int(outlook.freeze.nights_free[row, hour])
            return (
                f"Only {nights} of {case.rules.gates.freeze_free_days} nights after {at} are seen "
                "whole, so a freeze is not ruled out.",
            )
    return ("The forecast has a hole, so no call.",)


#: What is missing, by the gate that cannot be told without it.
_LACKING = {
    "daylight": "daylight",
    "inversion risk near sunrise or sunset": "sunrise and sunset",
    "rain": "rain",
    "wind too strong": "wind",
    "wind too light": "wind",
    "gusts": "gusts",
    "air too dry": "humidity or temperature",
    "air too damp": "humidity or temperature",
    "too cold to start": "temperature",
}


def _stale(case: Case) -> tuple[str, ...]:
    told = case.forecast
    if told.issued_utc is None or told.age_h is None:
        return _no_forecast(case)
    sentence = (
        f"The forecast is {age(told.age_h)} (issued {case.clock.moment(told.issued_utc)}); "
        f"no spray call past {case.policy.age_no_spray_h:g} h."
    )
    return (sentence, *([f"{told.problem.rstrip('.')}."] if told.problem else []))


def _no_forecast(case: Case) -> tuple[str, ...]:
    problem = case.forecast.problem or "its age is not told"
    return (f"No forecast to go by: {problem.rstrip('.')}.",)


def _maturity_unknown(case: Case) -> tuple[str, ...]:
    return case.readiness.figures.reasons


def _dawn_hole(case: Case) -> tuple[str, ...]:
    return (
        "The night that is ending is not known whole, so a killing freeze in it is not ruled out.",
    )


def _harvest_full(case: Case) -> tuple[str, ...]:
    room = case.room
    if room is None:
        return ()
    return (
        f"Mature, but the harvest is full: {amount(room.backlog_acres)} ac are sprayed and not "
        f"picked, at {amount(room.acres_a_day)} ac a day more than {amount(room.within_days)} "
        "days of picking.",
    )


_DECIDING: dict[Why, Callable[[Case], tuple[str, ...]]] = {
    "window": _window,
    "partial": _partial,
    "walk": _walk,
    "not_ready": _not_ready,
    "better_later": _better_later,
    "no_spray_hours": _no_spray_hours,
    "hole": _hole,
    "stale": _stale,
    "no_forecast": _no_forecast,
    "maturity_unknown": _maturity_unknown,
    "dawn_hole": _dawn_hole,
    "harvest_full": _harvest_full,
}


def _beside(case: Case) -> tuple[str, ...]:
    """What is told beside the deciding sentence: maturity, freeze odds, warmth, first frost."""
    told: list[str] = []
    if case.verdict.why != "maturity_unknown":
        state = {"mature": "Mature", "nearly": "Nearly mature", "not_yet": "Not mature"}
        word = state.get(case.readiness.figures.state, "Maturity not known")
        told.append(f"{word}: {' '.join(case.readiness.figures.reasons)}")
    if case.verdict.why in ("stale", "no_forecast"):
        return tuple(told)
    told.extend(_freeze_now(case))
    if case.freeze.chance_7d_pct is not None:
        told.append(f"Freeze within {WORK_DAYS} days: {chance(case.freeze.chance_7d_pct)}.")
    if case.heat_7d_f_days is not None:
        told.append(f"Warmth: {case.heat_7d_f_days:.0f} DD60 in {WORK_DAYS} days.")
    return tuple(told)


def _freeze_now(case: Case) -> tuple[str, ...]:
    """A freeze of the night that is ending stops nothing here but wants a look at the plants."""
    nights = case.outlook.nights
    if nights.first[case.row] == 0 or np.isnan(nights.low_f[case.row, 0]):
        return ()
    low = float(nights.low_f[case.row, 0])
    if low > case.rules.gates.freeze_f:
        return ()
    return (f"It may be freezing this morning ({temp(low)}): look at the plants before spraying.",)


def ordinal(place: int) -> str:
    """A place in an order: ``2nd``."""
    ending = (
        "th" if place % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(place % 10, "th")
    )
    return f"{place}{ending}"
