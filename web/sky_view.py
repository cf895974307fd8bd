"""Whose forecasts the calls stand on, how old they are by now, and what is wrong with them."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from dispatch.report import FieldCall
from dispatch.words import LocalClock, age, plural
from forecasts.tellers import Tellers
from notify.alert_words import alert_lines
from notify.user_text import plain_line, with_stop

#: Names of fields told in one row; more are counted.
NAMES = 5


@dataclass(frozen=True)
class SourceRow:
    """The fields of one region that one source tells, as it leads or stands in.

    ``oldest_age`` is that of the forecast in use that is oldest by now, ``standing`` what may
    still rest on it, "" where all may. ``newer`` tells of one that was fetched since the morning.
    """

    source: str
    region: str
    part: str
    fields: int
    cells: int
    issued: str
    oldest_age: str
    standing: str
    newer: str


@dataclass(frozen=True)
class FaultRow:
    """What is wrong with the forecast of some fields."""

    what: str
    cells: str
    fields: str


def source_rows(
    fields: Sequence[FieldCall],
    tellers: Mapping[str, Tellers],
    kept_utc: Mapping[str, datetime | None],
    limits_h: tuple[float, float, float],
    clock: LocalClock,
    now: datetime,
) -> tuple[SourceRow, ...]:
    """A row for each source, region and part.

    Parameters
    ----------
    fields
        As the morning saw them.
    tellers
        Who is asked, by field.
    kept_utc
        The newest issue kept by now, by cell.
    limits_h
        Ages past which a forecast is marked, makes no spray call, and makes no call [h].
    clock, now
        Times on the farm, and the time.
    """
    groups: dict[tuple[str, str, str], list[FieldCall]] = defaultdict(list)
    for one in fields:
        source = plain_line(one.forecast.source) or "nobody"
        region = plain_line(one.field.region or "")
        groups[source, region, _part(one, tellers.get(one.field.id))].append(one)
    return tuple(
        _source_row(key, mine, kept_utc, limits_h, clock, now)
        for key, mine in sorted(groups.items())
    )


def _part(one: FieldCall, asked: Tellers | None) -> str:
    if not one.forecast.source:
        return "none"
    provider = one.forecast.cell_id.partition(":")[0]
    stands_in = asked is not None and asked.stand_in == provider != asked.source
    return "stands in" if stands_in else "leads"


def _source_row(
    key: tuple[str, str, str],
    fields: Sequence[FieldCall],
    kept_utc: Mapping[str, datetime | None],
    limits_h: tuple[float, float, float],
    clock: LocalClock,
    now: datetime,
) -> SourceRow:
    issues = [one.forecast.issued_utc for one in fields if one.forecast.issued_utc is not None]
    ages_h = [(now - issued) / timedelta(hours=1) for issued in issues]
    since = [
        kept
        for one in fields
        if (kept := kept_utc.get(one.forecast.cell_id)) is not None
        and (one.forecast.issued_utc is None or kept > one.forecast.issued_utc)
    ]
    cells = {one.forecast.cell_id for one in fields if one.forecast.source}
    newer = f"{clock.moment(max(since))}, for {plural(len(since), 'field')}" if since else ""
    source, region, part = key
    return SourceRow(
        source=source,
        region=region,
        part=part,
        fields=len(fields),
        cells=len(cells),
        issued=_between([clock.moment(min(issues)), clock.moment(max(issues))]) if issues else "",
        oldest_age=age(max(0.0, max(ages_h))) if ages_h else "not known",
        standing=_standing(max(ages_h), limits_h) if ages_h else "no call stands on it",
        newer=newer,
    )


def _between(moments: Sequence[str]) -> str:
    first, last = moments
    return first if first == last else f"{first} to {last}"


def _standing(age_h: float, limits_h: tuple[float, float, float]) -> str:
    badge_h, no_spray_h, unknown_h = limits_h
    if age_h > unknown_h:
        return "no call stands on the oldest"
    if age_h > no_spray_h:
        return "no spray call stands on the oldest"
    return "ageing" if age_h >= badge_h else ""


def fault_rows(fields: Sequence[FieldCall], no_spray_h: float) -> tuple[FaultRow, ...]:
    """What is wrong, the most fields first: no answer, an old one, what was not believed."""
    faults: dict[str, list[FieldCall]] = defaultdict(list)
    for one in fields:
        for what in _faults(one, no_spray_h):
            faults[what].append(one)
    ordered = sorted(faults.items(), key=lambda told: (-len(told[1]), told[0]))
    return tuple(FaultRow(what, _cells(mine), _named(mine)) for what, mine in ordered)


def _faults(one: FieldCall, no_spray_h: float) -> list[str]:
    told = [one.forecast.problem, *(f"not believed: {what}" for what in one.forecast.rejected)]
    age_h = one.forecast.age_h
    if age_h is not None and age_h > no_spray_h and not one.forecast.problem:
        told.append(f"it was {age(age_h)} on that morning, and no newer one came")
    lines = [plain_line(what) for what in told if what]
    return [with_stop(line[:1].upper() + line[1:]) for line in lines]


def _cells(fields: Sequence[FieldCall]) -> str:
    cells = sorted({plain_line(one.forecast.cell_id) for one in fields})
    more = len(cells) - NAMES
    return ", ".join(cells[:NAMES]) + (f" +{more}" if more > 0 else "")


def _named(fields: Sequence[FieldCall]) -> str:
    names = ", ".join(plain_line(one.field.name) for one in fields[:NAMES])
    more = len(fields) - NAMES
    return f"{names} +{more}" if more > 0 else names


def alerts_now(
    fields: Sequence[FieldCall], clock: LocalClock, now: datetime
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The alerts of the morning that are not over, and why alerts of some fields are not known."""
    standing = [
        one.model_copy(
            update={
                "alerts": tuple(
                    alert for alert in one.alerts if alert.ends_utc is None or alert.ends_utc > now
                )
            }
        )
        for one in fields
    ]
    problems: dict[str, int] = defaultdict(int)
    for one in fields:
        if one.alerts_problem:
            problems[plain_line(one.alerts_problem)] += 1
    unknown = tuple(
        with_stop(f"{what[:1].upper()}{what[1:]} ({plural(count, 'field')})")
        for what, count in problems.items()
    )
    return alert_lines(standing, clock), unknown
