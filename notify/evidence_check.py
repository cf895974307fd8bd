"""Whether a morning adds up and every call to spray rests on complete evidence.

Code apart from what makes the calls: it trusts no call, and looks for the figures behind it.
"""

from collections import Counter

from dispatch.report import Call, FieldCall, MorningReport
from notify.freeze_words import MAY_CLEAR
from notify.once_a_morning import once_a_morning
from notify.user_text import plain_line


@once_a_morning
def miscounts(report: MorningReport) -> tuple[str, ...]:
    """What does not add up to the fields registered."""
    counted = {call: sum(one.call is call for one in report.fields) for call in Call}
    faults = []
    if counted != {call: report.run.counts.get(call, 0) for call in Call}:
        faults.append("counts: the five calls do not add up to the fields of this morning")
    if report.run.fields != len(report.fields):
        faults.append(f"counts: {report.run.fields} fields told, {len(report.fields)} there")
    if len({one.field.id for one in report.fields}) != len(report.fields):
        faults.append("counts: a field is there twice")
    standing = Counter(one.standing for one in report.fields)
    told = {name: getattr(report.run, name) for name in ("frozen", "sprayed", "picked")}
    told["held"] = report.run.held
    found = {name: standing[name] for name in ("frozen", "sprayed", "picked")}  # type: ignore[index]
    found["held"] = sum(one.held_for_harvest for one in report.fields)
    faults += [
        f"counts: {told[name]} {name} told, {found[name]} there"
        for name in told
        if told[name] != found[name]
    ]
    ranks = [one.rank for one in report.fields if one.call in (Call.SPRAY, Call.SHORT)]
    if ranks != list(range(1, len(ranks) + 1)):
        faults.append("order: the fields to spray are not ranked one after the other")
    return tuple(faults)


def missing_evidence(report: MorningReport) -> list[str]:
    """What a call to spray should rest on and does not, a line for each field."""
    faults = []
    for one in report.fields:
        if one.call in (Call.SPRAY, Call.SHORT):
            lacks = [what for what, there in _evidence(one, report).items() if not there]
            if lacks:
                name = plain_line(one.field.name) or one.field.id
                faults.append(f"{name}: called for spraying without {', '.join(lacks)}")
    return faults


def _evidence(one: FieldCall, report: MorningReport) -> dict[str, bool]:
    windows = [window for window in one.windows if window.end_utc > report.run.made_utc]
    full = [window for window in windows if window.full]
    numbers = (one.effect_pct, *(window.effect_pct for window in windows))
    return {
        "a window ahead": bool(full if one.call is Call.SPRAY else windows),
        "an effect": all(number is not None and 0 <= number <= 100 for number in numbers),
        "freeze odds": one.freeze.chance_7d_pct is not None,
        "how far the nights are known": one.freeze.known_through_utc is not None,
        "a forecast young enough": (
            one.forecast.age_h is not None
            and one.forecast.age_h >= 0
            and one.forecast.age_mark in MAY_CLEAR
        ),
        "a count that says mature": one.maturity.state == "mature",
        "the age of that count": one.maturity.visit_age_days is not None,
        "a place in the order": one.rank is not None,
        "a field in the order": one.standing == "open",
    }
