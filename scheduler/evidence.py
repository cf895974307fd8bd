"""The evidence behind a call: windows, weather, maturity and whose forecast it was."""

from collections.abc import Sequence

from agronomy.thresholds import SprayGates
from dispatch.field_rules import FieldRules
from dispatch.report import Call, FieldCall, FreezeFigures, MaturityFigures, Window
from dispatch.words import LocalClock, age, amount, chance, day, day_range, plural, temp
from farm.records import Visit
from notify.user_text import plain_line
from scheduler.aside_lines import by_members
from scheduler.crop_evidence import given_up_lines, warmth_lines
from scheduler.section import Section, fact

#: Visits listed, newest first.
VISITS_SHOWN = 5
_VISIT_HEADERS = (
    *("visit", "plants", "nodes", "open", "cut mature", "veg. mature", "leaf off"),
    *("scout", "note"),
)

_STATES = {
    "mature": "mature",
    "nearly": "nearly mature",
    "not_yet": "not mature yet",
    "unknown": "not known",
}
_BOUNDS = {
    "freeze": "the freeze ends it",
    "weather": "rain, wind or darkness end it",
    "sight": "as far as the forecast is seen",
}


def windows_section(one: FieldCall, clock: LocalClock) -> Section:
    """Every window with the effect from its best hour."""
    if one.call is Call.UNKNOWN and not one.windows:
        return Section("The windows", ("not told while the call is not known",))
    if not one.windows:
        return Section("The windows", ("no window seen in which spraying may start",))
    headers = ("start between", "best", "effect", "window", "dry after", "wind mph")
    return Section(
        "The windows", (), headers, tuple(_window_row(window, clock) for window in one.windows)
    )


def _window_row(window: Window, clock: LocalClock) -> tuple[str, ...]:
    dry = "?" if window.dry_h is None else f"{amount(window.dry_h)} h"
    wind = "?"
    if window.wind_low_mph is not None and window.wind_high_mph is not None:
        low, high = f"{window.wind_low_mph:.0f}", f"{window.wind_high_mph:.0f}"
        speed = low if low == high else f"{low}-{high}"
        wind = f"{speed} {window.wind_from or ''}".strip()
    return (
        clock.span(window.start_utc, window.end_utc),
        clock.moment(window.best_utc),
        f"{window.effect_pct:.0f}",
        "full" if window.full else "partial",
        f"at least {dry}" if window.dry_to_sight_end else dry,
        wind,
    )


def weather_section(one: FieldCall, clock: LocalClock, rules: FieldRules | None) -> Section:
    """Freeze, rain and warmth, each with what it is measured against."""
    lines = []
    if one.spray_by_utc:
        bound = f" ({_BOUNDS[one.spray_by_bound]})" if one.spray_by_bound else ""
        lines.append(fact("spray by", clock.weekday_moment(one.spray_by_utc) + bound))
    lines += _freeze_lines(one, clock)
    dry = "not known" if one.rain_free_h is None else f"{amount(one.rain_free_h)} h seen"
    lines.append(
        fact("rain-free after it", f"{dry}, the label wants {amount(one.rain_free_needed_h)} h")
    )
    lines += warmth_lines(one)
    if rules is not None:
        lines.append(fact("gates now in force", _gates_in_words(rules.gates)))
    return Section("The weather", tuple(lines))


def _gates_in_words(gates: SprayGates) -> str:
    return (
        f"wind {amount(gates.wind_min_mph)}-{amount(gates.wind_max_mph)} mph, gusts to "
        f"{amount(gates.gust_max_mph)}, rain chance below {amount(gates.rain_chance_max_pct)} %, "
        f"from {amount(gates.after_sunrise_h)} h after sunrise to "
        f"{amount(gates.before_sunset_h)} h before sunset"
    )


def _freeze_lines(one: FieldCall, clock: LocalClock) -> list[str]:
    """The odds and the hard line of the forecast side by side, then what they rest on."""
    freeze = one.freeze
    lines = [fact("freeze in 7 days", f"{_freeze_odds(freeze)}; {_hard_line(freeze, clock)}")]
    if freeze.killing_utc:
        lines.append(fact("first killing freeze", clock.moment(freeze.killing_utc)))
    if freeze.low_f is not None:
        night = f" on {clock.moment(freeze.low_utc)}" if freeze.low_utc else ""
        cold = one.field.cold_spot_f
        counted = f", its cold spot of {amount(cold)}F counted in" if cold else ""
        lines.append(fact("lowest low seen", temp(freeze.low_f) + night + counted))
    if freeze.nights_free is not None:
        lines.append(fact("nights without a freeze", str(freeze.nights_free)))
    return lines


def _freeze_odds(freeze: FreezeFigures) -> str:
    members = by_members(freeze)
    if freeze.chance_7d_pct is None:
        return f"odds not known{' by forecast errors' if members else ''}{members}"
    killing = freeze.killing_chance_7d_pct
    also = "" if killing is None else f" (killing {chance(killing)})"
    errors = " by forecast errors" if members else ""
    return f"{chance(freeze.chance_7d_pct)}{errors}{also}{members}"


def _hard_line(freeze: FreezeFigures, clock: LocalClock) -> str:
    """What the forecast alone says of the freeze line."""
    if freeze.first_utc is not None:
        lead = "" if freeze.lead_days is None else f", {amount(freeze.lead_days)} days of lead"
        return f"by the forecast alone, first {clock.moment(freeze.first_utc)}{lead}"
    if freeze.known_through_utc is not None:
        through = clock.moment(freeze.known_through_utc)
        return f"by the forecast alone, none through {through}, not known after that"
    return "no night is seen"


def maturity_section(
    one: FieldCall, clock: LocalClock, visits: Sequence[Visit], rules: FieldRules | None
) -> Section:
    """The state, what it rests on, and the last visits, newest first."""
    told = one.maturity
    lines = [fact("state", _STATES[told.state])]
    lines += [f"  {plain_line(reason)}" for reason in told.reasons]
    if told.visited_utc:
        old = "" if told.visit_age_days is None else f", {age(told.visit_age_days * 24)}"
        by = f", by {plain_line(told.scout)}" if told.scout else ""
        lines.append(fact("last visit", clock.moment(told.visited_utc) + old + by))
    lines += _coming(told)
    lines += given_up_lines(one)
    if rules is not None:
        limits = rules.maturity
        lines.append(
            fact(
                "counts as mature",
                f"at most {amount(limits.nacb_max)} nodes above cracked boll, at least "
                f"{amount(limits.percent_open_min)} % open, seen within "
                f"{amount(limits.visit_max_age_days)} days",
            )
        )
    newest = sorted(visits, key=lambda visit: visit.observed_utc, reverse=True)[:VISITS_SHOWN]
    rows = tuple(_visit_row(visit, clock) for visit in newest)
    return Section("The maturity", tuple(lines), _VISIT_HEADERS if rows else (), rows)


def _coming(told: MaturityFigures) -> list[str]:
    lines = []
    if told.ready_on:
        span = ""
        first, last = told.ready_on_earliest, told.ready_on_latest
        if first and last and first != last:
            span = f" ({day_range(first, last)})"
        lines.append(fact("mature about", day(told.ready_on) + span))
    if told.look_again_on:
        lines.append(fact("look again", day(told.look_again_on)))
    return lines


def _visit_row(visit: Visit, clock: LocalClock) -> tuple[str, ...]:
    nodes, percent_open = visit.nodes_above_cracked_boll, visit.percent_open
    return (
        clock.moment(visit.observed_utc) + (" (from the road)" if visit.windshield else ""),
        "" if visit.plants_counted is None else str(visit.plants_counted),
        "" if nodes is None else amount(nodes),
        "" if percent_open is None else f"{amount(percent_open)} %",
        _cut(visit.bolls_cut_mature, visit.bolls_cut),
        _cut(visit.vegetative_bolls_mature, visit.vegetative_bolls_cut),
        "" if visit.leaf_drop_pct is None else f"{amount(visit.leaf_drop_pct)} %",
        visit.scout,
        visit.note,
    )


def _cut(mature: int | None, cut: int | None) -> str:
    if cut is None:
        return ""
    return f"{'?' if mature is None else mature} of {cut}"


def forecast_section(one: FieldCall, clock: LocalClock, who_tells: str = "") -> Section:
    """Whose forecast, how old, what of it was refused, and who is to tell it by the config."""
    told = one.forecast
    lines = [fact("source", plain_line(told.source) or "none")]
    if who_tells:
        region = f" (region {plain_line(one.field.region)})" if one.field.region else ""
        lines.append(fact("by the config", f"{plain_line(who_tells)}{region}"))
    if told.cell_id:
        lines.append(fact("grid cell", plain_line(told.cell_id)))
    if told.issued_utc:
        old = "age not known" if told.age_h is None else age(told.age_h)
        lines.append(fact("issued", f"{clock.moment(told.issued_utc)}, {old} ({told.age_mark})"))
    if told.problem:
        lines.append(fact("problem", plain_line(told.problem)))
    if told.rejected:
        refused = plural(len(told.rejected), "layer")
        lines.append(fact("refused", f"{refused}: {plain_line('; '.join(told.rejected))}"))
    return Section("The forecast", tuple(lines))
