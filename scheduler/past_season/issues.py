"""A folder of recorded issues: one folder each, named for the moment of its morning."""

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

from scheduler.data_error import DataError

#: Names of issues: the moment of the morning in UTC.
EXAMPLE = "2025-10-01T11Z"
_NAME = re.compile(r"(\d{4}-\d{2}-\d{2})T(\d{2})(\d{2})?Z", re.ASCII)

#: Fewest mornings from which a season says anything [mornings]. Judgement.
MORNINGS_MIN = 30


@dataclass(frozen=True)
class Issue:
    """The answers recorded for one morning."""

    name: str
    folder: Path
    moment: datetime


def find_issues(folder: Path, zone: ZoneInfo) -> tuple[tuple[Issue, ...], tuple[str, ...]]:
    """The issues of a folder in the order of time, one a local date, and what was passed over.

    Raises
    ------
    DataError
        The folder cannot be read, or holds no issue.
    """
    try:
        entries = sorted(folder.iterdir())
    except OSError as fault:
        raise DataError([f"--folder {folder}: cannot be read ({fault.strerror})"]) from None
    issues: dict[date, Issue] = {}
    notes = []
    for entry in entries:
        moment = _moment(entry.name) if entry.is_dir() else None
        if moment is None:
            if entry.is_dir():
                notes.append(f"{entry.name}: passed over, wanted a name such as {EXAMPLE}")
            continue
        issue = Issue(entry.name, entry, moment)
        first = issues.setdefault(moment.astimezone(zone).date(), issue)
        if first is not issue:
            notes.append(f"{entry.name}: passed over, the morning of that date is {first.name}")
    if not issues:
        raise DataError(
            [f"--folder {folder}: got no issue, wanted folders named as {EXAMPLE}, one a morning"]
        )
    found = tuple(sorted(issues.values(), key=lambda one: one.moment))
    return found, (*notes, *_gaps(found, zone))


def _moment(name: str) -> datetime | None:
    match = _NAME.fullmatch(name)
    if match is None:
        return None
    try:
        return datetime.strptime(
            f"{match[1]}T{match[2]}{match[3] or '00'}", "%Y-%m-%dT%H%M"
        ).replace(tzinfo=UTC)
    except ValueError:
        return None


def _gaps(issues: tuple[Issue, ...], zone: ZoneInfo) -> list[str]:
    told = []
    days = [one.moment.astimezone(zone).date() for one in issues]
    for before, after in pairwise(days):
        missing = (after - before).days - 1
        if missing:
            first, last = before + timedelta(days=1), after - timedelta(days=1)
            span = f"{first}" if missing == 1 else f"{first} to {last}"
            told.append(f"no issue of {span}: nobody is called and no rig goes out")
    if len(issues) < MORNINGS_MIN:
        told.append(f"got {len(issues)} mornings, wanted {MORNINGS_MIN}: too few to judge a season")
    return told
