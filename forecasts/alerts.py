"""Freeze watches and warnings of the US National Weather Service, shown as they stand.

They may add a warning and never take one away. Offices stop issuing them after the first freezes
of a season, so that no alert is no sign of safety, and nothing here says so.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Protocol

import msgspec

from forecasts.cells import Place
from forecasts.errors import ForecastError
from forecasts.interval import moment_utc
from forecasts.square import on_lattice
from forecasts.transport import Answer

#: Events that tell of cold, and their name of today. "Hard Freeze" was merged into "Freeze" on
#: 1 October 2024 (Service Change Notice 23-44).
COLD_EVENTS = {
    "Freeze Watch": "Freeze Watch",
    "Freeze Warning": "Freeze Warning",
    "Frost Advisory": "Frost Advisory",
    "Hard Freeze Watch": "Freeze Watch",
    "Hard Freeze Warning": "Freeze Warning",
    "Cold Weather Advisory": "Cold Weather Advisory",
    "Extreme Cold Watch": "Extreme Cold Watch",
    "Extreme Cold Warning": "Extreme Cold Warning",
}

#: Questions without an answer in a row after which nobody is asked any more: alerts are shown
#: beside the calls, and must not hold up a morning. Judgement.
MOST_MISSED = 2

NOT_ASKED = "the service was not asked any more, it does not answer"

_BY_WORDS = {" ".join(one.lower().split()): today for one, today in COLD_EVENTS.items()}


@dataclass(frozen=True)
class FreezeAlert:
    """One alert.

    ``event`` is its name of today and ``told`` the name it came with. Times are UTC, None where
    they are not told or cannot be read; ``expires_utc`` is when the message, not the cold, runs
    out. ``headline``, ``sender`` and ``area`` are the service's own words, "" where it has none.
    """

    id: str
    event: str
    told: str
    onset_utc: datetime | None
    ends_utc: datetime | None
    expires_utc: datetime | None
    headline: str = ""
    sender: str = ""
    area: str = ""


@dataclass(frozen=True)
class Alerts:
    """The alerts in force at a place, soonest first.

    ``problem`` says why they are not known, or not all, "" where they are. Without any, the sky
    is no safer: see the head of this file.
    """

    alerts: tuple[FreezeAlert, ...]
    asked_utc: datetime
    problem: str = ""


class Gets(Protocol):
    """What gets answers by their path: a client, or a folder of recorded answers."""

    def get(self, path: str, if_modified_since: str | None = None) -> Answer:
        """The answer at a path; `ForecastError` where there is none."""


class _Alert(msgspec.Struct, rename="camel"):
    event: str
    id: Any = None
    status: Any = "Actual"
    message_type: Any = "Alert"
    onset: Any = None
    ends: Any = None
    expires: Any = None
    headline: Any = None
    sender_name: Any = None
    area_desc: Any = None
    references: Any = None


class _Feature(msgspec.Struct):
    properties: _Alert


class _Answer(msgspec.Struct):
    features: list[msgspec.Raw]


_answers = msgspec.json.Decoder(_Answer)
_features = msgspec.json.Decoder(_Feature)


def fetch_alerts(asked: Gets, places: Iterable[Place], now: datetime) -> dict[str, Alerts]:
    """The alerts of every place, by field; places that lie together share a question.

    Parameters
    ----------
    asked
        A client of the US service, or the transport of a folder.
    places
        Where the fields are.
    now
        The moment, aware UTC.

    Returns
    -------
    dict
        Complete: where nothing could be learnt, ``problem`` says why. After `MOST_MISSED`
        questions in a row without an answer the rest are not asked.
    """
    found: dict[str, Alerts] = {}
    known: dict[str, Alerts] = {}
    missed = 0
    for place in places:
        spot = on_lattice(place.latitude, place.longitude).written
        if spot not in known and missed == MOST_MISSED:
            known[spot] = Alerts((), now, NOT_ASKED)
        if spot not in known:
            try:
                body = asked.get(f"/alerts/active?point={spot}").body or b""
            except ForecastError as error:
                known[spot] = Alerts((), now, error.message)
                missed += error.recoverable
            else:
                known[spot] = _read_or_not_known(body, now)
                missed = 0
        found[place.field_id] = known[spot]
    return found


def _read_or_not_known(body: bytes, now: datetime) -> Alerts:
    try:
        return read_alerts(body, now)
    except ForecastError as error:
        return Alerts((), now, error.message)


def read_alerts(body: bytes, now: datetime) -> Alerts:
    """The alerts of cold in an answer of ``/alerts/active``.

    Left out are tests and exercises, what was cancelled, what a later message takes the place of,
    and what has ended. An alert whose times cannot be read stays.

    Raises
    ------
    ForecastError
        The answer as a whole cannot be read.
    """
    try:
        answer = _answers.decode(body)
    except (msgspec.MsgspecError, RecursionError, UnicodeDecodeError) as error:
        raise ForecastError(f"the alerts could not be read ({error})", True) from error
    told: list[_Alert] = []
    unread = 0
    for feature in answer.features:
        try:
            told.append(_features.decode(feature).properties)
        except (msgspec.MsgspecError, RecursionError, UnicodeDecodeError):
            unread += 1
    replaced = {one for alert in told for one in _replaced(alert)}
    alerts = [_alert(one) for one in told if _in_force(one, replaced)]
    coming = [one for one in alerts if not _over(one, now)]
    coming.sort(key=lambda one: one.onset_utc or datetime.min.replace(tzinfo=UTC))
    word = "alert" if unread == 1 else "alerts"
    return Alerts(tuple(coming), now, f"{unread} {word} could not be read" if unread else "")


def _in_force(alert: _Alert, replaced: set[str]) -> bool:
    if isinstance(alert.id, str) and alert.id in replaced:
        return False
    if _words(alert.event).lower() not in _BY_WORDS:
        return False
    return alert.status == "Actual" and alert.message_type != "Cancel"


def _replaced(alert: _Alert) -> list[str]:
    """The messages an actual one takes the place of, itself never among them."""
    if alert.status != "Actual" or not isinstance(alert.references, list):
        return []
    named = [one.get("identifier") for one in alert.references if isinstance(one, dict)]
    return [one for one in named if isinstance(one, str) and one != alert.id]


def _alert(told: _Alert) -> FreezeAlert:
    return FreezeAlert(
        id=_words(told.id),
        event=_BY_WORDS[_words(told.event).lower()],
        told=_words(told.event),
        onset_utc=moment_utc(told.onset),
        ends_utc=moment_utc(told.ends),
        expires_utc=moment_utc(told.expires),
        headline=_words(told.headline),
        sender=_words(told.sender_name),
        area=_words(told.area_desc),
    )


def _over(alert: FreezeAlert, now: datetime) -> bool:
    end = alert.ends_utc or alert.expires_utc
    return end is not None and end <= now


def _words(told: object) -> str:
    """Text on one line, "" where it is none."""
    return " ".join(told.split())[:400] if isinstance(told, str) else ""
