"""What is shown beside a call and has no part in it: alerts, a further look, an ensemble."""

from datetime import datetime

from dispatch.report import Factors, FieldCall, FreezeFigures
from dispatch.words import LocalClock, amount, chance, plural
from notify.alert_words import alert_words
from notify.further_words import further_words
from notify.user_text import plain_line
from scheduler.section import Section, fact


def asides_section(one: FieldCall, clock: LocalClock) -> Section:
    """Alerts as they stand, the further look, and whose members were counted."""
    lines = [*_alert_lines(one, clock), *_further_lines(one, clock), *_ensemble_lines(one, clock)]
    return Section("Beside the call, and no part of it", tuple(lines))


def by_members(freeze: FreezeFigures) -> str:
    """The odds counted from members: ``, 41 in 100 by 31 members``; "" where not known."""
    if freeze.ensemble_chance_7d_pct is None or freeze.ensemble_members is None:
        return ""
    counted = plural(freeze.ensemble_members, "member")
    return f", {chance(freeze.ensemble_chance_7d_pct)} by {counted}"


def dry_by_members(factors: Factors) -> str:
    """The chance of dry hours counted from members, for a cell."""
    dry = factors.ensemble_dry_pct
    return "not known" if dry is None else f"{dry:.0f} %"


def _alert_lines(one: FieldCall, clock: LocalClock) -> list[str]:
    lines = []
    for alert in one.alerts:
        said = plain_line(alert.headline)
        lines.append(
            fact("freeze alert", alert_words(alert, clock) + (f" ({said})" if said else ""))
        )
    if one.alerts_problem:
        lines.append(fact("freeze alerts", f"not known: {plain_line(one.alerts_problem)}"))
    return lines


def _further_lines(one: FieldCall, clock: LocalClock) -> list[str]:
    told = one.further
    if told is None:
        return []
    source = plain_line(told.source)
    if told.low_f is None or told.from_utc is None:
        why = f": {plain_line(told.problem)}" if told.problem else ""
        return [fact("further ahead", f"not known, {source}{why}")]
    rain = "rain not known" if told.rain_in is None else f"{amount(told.rain_in)} in of rain"
    return [
        fact("further ahead", f"{further_words([told], clock)}, {rain}"),
        fact("  seen by", f"{source}, {_issued(told.issued_utc, clock)}"),
        fact("  from", f"{clock.weekday_moment(told.from_utc)}, where the forecast ends"),
    ]


def _ensemble_lines(one: FieldCall, clock: LocalClock) -> list[str]:
    freeze = one.freeze
    if not freeze.ensemble_source:
        return []
    source = plain_line(freeze.ensemble_source)
    if freeze.ensemble_problem:
        return [fact("ensemble", f"not known, {source}: {plain_line(freeze.ensemble_problem)}")]
    members = plural(freeze.ensemble_members or 0, "member")
    issued = _issued(freeze.ensemble_issued_utc, clock)
    return [fact("ensemble", f"{members} of {source}, {issued}")]


def _issued(moment: datetime | None, clock: LocalClock) -> str:
    return "issue time not known" if moment is None else f"issued {clock.moment(moment)}"
