"""Whose forecast a morning stands on and how old it is."""

from collections import defaultdict
from datetime import datetime

from dispatch.report import FieldCall, MorningReport
from dispatch.words import LocalClock, age, plural
from notify.alert_words import alert_lines
from notify.freeze_words import freeze_outlook, freeze_sentences
from notify.further_words import further_line
from notify.own_error_words import own_errors_line
from notify.page import ForecastWords
from notify.user_text import plain_line

#: From best to worst.
_MARKS = ("fresh", "ageing", "old", "very_old", "none")
_BADGES = {
    "ageing": "FORECAST AGEING",
    "old": "FORECAST OLD: no spray call is made from it",
    "very_old": "FORECAST TOO OLD for any call",
    "none": "NO FORECAST",
}


def forecast_words(
    report: MorningReport, clock: LocalClock, *, figures: bool = True
) -> ForecastWords:
    """Source, issue times and ages, then what it says of freezes, alerts, and a further look.

    Sprayed fields wait for no forecast and are left out, unless there are no others. Who reads no
    ``figures`` gets no further look, nor which errors the odds count with.
    """
    fields = report.standing("open") or report.fields
    if not fields:
        return ForecastWords("", ())
    marks = [one.forecast.age_mark for one in fields]
    worst = max(marks, key=_MARKS.index)
    badge = _BADGES.get(worst, "")
    if badge and any(mark != worst for mark in marks):
        badge = f"{badge} ({marks.count(worst)} of {plural(len(fields), 'field')})"
    outlook = freeze_outlook(fields)
    lines = [*_sources(fields, clock), *freeze_sentences(outlook, clock)]
    lines += alert_lines(fields, clock)
    if figures:
        beside = (further_line(fields, clock), own_errors_line(report.run.own_low_errors))
        lines += [one for one in beside if one]
    return ForecastWords(badge, tuple(lines))


def _sources(fields: tuple[FieldCall, ...], clock: LocalClock) -> list[str]:
    issues: dict[str, list[tuple[datetime, float | None]]] = defaultdict(list)
    for one in fields:
        if one.forecast.issued_utc is not None:
            source = plain_line(one.forecast.source) or "source not named"
            issues[source].append((one.forecast.issued_utc, one.forecast.age_h))
    if not issues:
        return ["Forecast: none, and no earlier one to go by."]
    said = []
    for source, pairs in sorted(issues.items()):
        moments = [moment for moment, _ in pairs]
        ages = [hours for _, hours in pairs if hours is not None]
        said.append(f"Forecast: {source}, issued {_times(moments, clock)}{_ages(ages)}.")
    return said


def _times(moments: list[datetime], clock: LocalClock) -> str:
    first, last = clock.moment(min(moments)), clock.moment(max(moments))
    return first if first == last else f"between {first} and {last}"


def _ages(ages_h: list[float]) -> str:
    if not ages_h:
        return ", age not known"
    youngest, oldest = age(min(ages_h)), age(max(ages_h))
    if youngest == oldest:
        return f", {oldest}"
    return f", {youngest.removesuffix(' old')} to {oldest}"
