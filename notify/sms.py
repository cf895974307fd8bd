"""The morning as a text message: GSM-7, at most two parts, cut by whole fields.

Where it is too long, names go first: fields to walk, then fields not known, then the order from
its end. The counts, the fields not known, the freeze line, the caution and how to stop stay. A
freeze alert is told where it still fits beside all of that.
"""

from dataclasses import dataclass, replace

from dispatch.report import Call, FieldCall, MorningReport
from dispatch.words import LocalClock, age, day, temp
from farm.people import Person
from notify.alert_words import alert_in_short
from notify.freeze_words import MAY_CLEAR, FreezeOutlook, freeze_outlook
from notify.gsm7 import gsm7, segments, septets
from notify.privacy import visible_to

#: Parts a text message may take unless the settings say otherwise.
MAX_SEGMENTS = 2
#: Longest name told, in septets; a longer one is cut after a whole word.
NAME_SEPTETS = 24
#: Names tried for each list; more cannot fit into three parts.
_MOST_NAMES = 24

CAUTION = "Label is law. Reply STOP to end"


@dataclass(frozen=True)
class _Parts:
    """What a text message is put together from; ``names`` may be cut, the rest stays."""

    opening: str
    counts: tuple[str, str, str]
    names: tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]
    closing: str


def sms_text(report: MorningReport, person: Person, max_segments: int = MAX_SEGMENTS) -> str:
    """The text message of one person, within ``max_segments`` parts."""
    seen = visible_to(report, person)
    clock = LocalClock(seen.run.time_zone, seen.run.time_zone, seen.run.local_date)
    on, farm = day(seen.run.local_date), _short_name(seen.run.farm_name)
    for opening in (f"{on} {farm}:" if farm else f"{on}:", f"{on}:"):
        parts = _parts(seen, clock, opening)
        if segments(_assembled(parts, (0, 0, 0))) <= max_segments:
            break
    shown = _most_that_fit(parts, max_segments)
    more = _assembled(_with_alert(parts, seen, clock), shown)
    return more if segments(more) <= max_segments else _assembled(parts, shown)


def _with_alert(parts: _Parts, report: MorningReport, clock: LocalClock) -> _Parts:
    """The same with the soonest freeze alert before the caution, where there is one."""
    alert = _tight(alert_in_short(report.standing("open") or report.fields, clock))
    if not alert:
        return parts
    before = parts.closing.removesuffix(CAUTION)
    return replace(parts, closing=f"{before}{alert} {CAUTION}")


def _parts(report: MorningReport, clock: LocalClock, opening: str) -> _Parts:
    unknown = report.with_call(Call.UNKNOWN)
    cards = report.to_act_on()
    walk = report.with_call(Call.LOOK)
    short = sum(one.call is Call.SHORT for one in cards)
    spray = f"Spray {len(cards)}" if cards else _no_spray(report)
    spray += f" ({short} short)" if short else ""
    if report.held():
        spray += f", {len(report.held())} held"
    counts = (
        f"{len(unknown)} not known" if unknown else "",
        spray,
        f"Walk {len(walk)}" if walk else "",
    )
    names = (
        tuple(_short_name(one.field.name) for one in unknown[:_MOST_NAMES]),
        tuple(_ranked(one, report) for one in cards[:_MOST_NAMES]),
        tuple(_short_name(one.field.name) for one in walk[:_MOST_NAMES]),
    )
    tail = (_forecast(report), _freeze(report, clock), CAUTION)
    return _Parts(opening, counts, names, " ".join(said for said in tail if said))


def _assembled(parts: _Parts, shown: tuple[int, int, int]) -> str:
    said = [parts.opening]
    for count, names, number in zip(parts.counts, parts.names, shown, strict=True):
        named = [name for name in names[:number] if name]
        if count and named:
            left = len(names) - len(named)
            said.append(f"{count}: {', '.join(named)}{f' +{left}' if left else ''}.")
        elif count:
            said.append(f"{count}.")
    return gsm7(" ".join([*said, parts.closing]))


def _most_that_fit(parts: _Parts, max_segments: int) -> tuple[int, int, int]:
    """How many names of each list fit: the order first, then not known, then to walk."""
    shown = [0, 0, 0]
    for which in (1, 0, 2):
        for number in range(len(parts.names[which]), 0, -1):
            tried = [*shown]
            tried[which] = number
            if segments(_assembled(parts, (tried[0], tried[1], tried[2]))) <= max_segments:
                shown = tried
                break
    return shown[0], shown[1], shown[2]


def _ranked(one: FieldCall, report: MorningReport) -> str:
    clock = LocalClock(one.field.time_zone, report.run.time_zone, report.run.local_date)
    name = _short_name(one.field.name) or _short_name(one.field.id)
    placed = f"{one.rank} {name}".strip()
    if one.call is Call.SHORT:
        start = f" {_tight(clock.moment(one.windows[0].start_utc))}" if one.windows else ""
        return f"{placed} SHORT{start}"
    if one.spray_by_utc is None:
        return placed
    return f"{placed} by {_tight(clock.weekday_moment(one.spray_by_utc))}"


def _short_name(name: str) -> str:
    """A name in plain letters, cut after a whole word; "" where its first word is too long."""
    kept = ""
    for word in gsm7(name).split():
        longer = f"{kept} {word}".strip()
        if septets(longer) > NAME_SEPTETS:
            break
        kept = longer
    return kept


def _no_spray(report: MorningReport) -> str:
    busy = (*report.with_call(Call.LOOK, Call.UNKNOWN), *report.held())
    return "No spray" if busy or not report.fields else "Nothing to spray or walk"


def _forecast(report: MorningReport) -> str:
    """How old the forecast behind the calls is, where it is no longer fresh or not known."""
    if report.run.stop:
        return "Computer clock is wrong."
    open_fields = [one for one in report.fields if one.standing == "open"]
    if open_fields and all(one.forecast.age_mark not in MAY_CLEAR for one in open_fields):
        return "No fresh forecast."
    ages_h = [
        one.forecast.age_h
        for one in open_fields
        if one.call is not Call.UNKNOWN
        and one.forecast.age_mark != "fresh"
        and one.forecast.age_h is not None
    ]
    return f"Forecast {age(max(ages_h))}." if ages_h else ""


def _freeze(report: MorningReport, clock: LocalClock) -> str:
    fields = tuple(one for one in report.fields if one.standing == "open")
    if not fields:
        return ""
    outlook = freeze_outlook(fields)
    low = _low(outlook, clock)
    if outlook.first_utc is not None:
        return f"Freeze seen {_tight(clock.weekday_moment(outlook.first_utc))}{low}."
    if outlook.known_first_utc is None:
        return "Freeze not ruled out."
    through = _tight(clock.weekday_moment(outlook.known_first_utc))
    unseen = f", {outlook.unseen} not known" if outlook.unseen else ""
    return f"No freeze seen through {through}{unseen}{low}."


def _low(outlook: FreezeOutlook, clock: LocalClock) -> str:
    if outlook.lows_f is None:
        return ""
    on = f" {clock.day_name(clock.local(outlook.low_utc).date())}" if outlook.low_utc else ""
    return f", low {temp(outlook.lows_f[0])}{on}"


def _tight(moment: str) -> str:
    return moment.replace(" am", "am").replace(" pm", "pm")
