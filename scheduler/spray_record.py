"""One application record from what a person typed."""

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from difflib import get_close_matches
from typing import TYPE_CHECKING
from uuid import NAMESPACE_URL, UUID, uuid5
from zoneinfo import ZoneInfo

from pydantic import AwareDatetime, BaseModel, ConfigDict

from farm.field import Field
from farm.records import Spray
from farm.retraction import entered_anew
from farm.treatment import Treatment
from scheduler.clock import ClockError, local_moment
from scheduler.data_error import DataError
from scheduler.scouting_row import FUTURE_TOLERANCE_H

if TYPE_CHECKING:
    from config.settings import Settings

_NAMESPACE = uuid5(NAMESPACE_URL, "warmspell:spray")
_LONGEST = {"applicator": 80, "note": 500}
_LABEL_KEYS = ("reentry_h", "preharvest_days")


class Intervals(BaseModel):
    """When a sprayed field may be entered and harvested at the earliest; None where not entered."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    reentry_utc: AwareDatetime | None = None
    harvest_utc: AwareDatetime | None = None


def intervals(spray: Spray, treatment: Treatment | None) -> Intervals:
    """Earliest re-entry and earliest harvest after a spray.

    They count from the time of the spray, days as 24 hours, with the label values entered for
    the treatment as the config has them now. For a tank mix these are the longest of its
    products': 40 CFR 170.112 for re-entry (text of 2007, since renumbered).

    Parameters
    ----------
    treatment
        What was sprayed; None if the config does not have it any more.
    """
    hours = treatment.reentry_h if treatment else None
    days = treatment.preharvest_days if treatment else None
    return Intervals(
        reentry_utc=None if hours is None else spray.sprayed_utc + timedelta(hours=hours),
        harvest_utc=None if days is None else spray.sprayed_utc + timedelta(days=days),
    )


def not_before(moment_utc: datetime | None, zone: ZoneInfo) -> str:
    """Local day and time, a begun minute counted whole so that nobody is early."""
    if moment_utc is None:
        return "not entered"
    return f"{whole_minute(moment_utc).astimezone(zone):%a %-d %b %H:%M}"


def whole_minute(moment_utc: datetime) -> datetime:
    """The moment with its begun minute counted whole."""
    begun = timedelta(seconds=moment_utc.second, microseconds=moment_utc.microsecond)
    return moment_utc - begun + (timedelta(minutes=1) if begun else timedelta())


def spray_record(
    field: Field,
    settings: "Settings",
    now: datetime,
    texts: Mapping[str, str | None],
    applicator: str = "",
    note: str = "",
    taken_back: frozenset[UUID] = frozenset(),
) -> Spray:
    """The record of one application.

    Parameters
    ----------
    texts
        ``when`` (ISO, in the field's zone unless it says otherwise; now if None), ``treatment``
        (an id; the field's own if None) and ``rig`` (an id or None).
    taken_back
        Records that were taken back: the same content again is then entered anew.

    Returns
    -------
    Spray
        Its uuid is made from the content, so that the same record again is the same spray.

    Raises
    ------
    DataError
        A time in the future, an id that the config does not have, or a treatment without its
        re-entry hours or days to harvest.
    """
    for name, text in (("applicator", applicator), ("note", note)):
        if len(text) > _LONGEST[name]:
            raise DataError(
                [f"spray: {name}: got {len(text)} letters, wanted at most {_LONGEST[name]}"]
            )
    when = _moment(texts.get("when"), field, now)
    treatment = texts.get("treatment") or field.treatment_id
    _known("treatment", treatment, (one.id for one in settings.treatments))
    _labelled(next(one for one in settings.treatments if one.id == treatment))
    rig = texts.get("rig")
    if rig is not None:
        _known("rig", rig, (one.id for one in settings.rigs))
    content = "|".join((field.id, when.isoformat(), treatment, rig or "", applicator, note))
    return Spray(
        uuid=entered_anew(uuid5(_NAMESPACE, content), taken_back),
        field_id=field.id,
        sprayed_utc=when,
        treatment_id=treatment,
        rig_id=rig,
        applicator=applicator,
        note=note,
    )


def _moment(text: str | None, field: Field, now: datetime) -> datetime:
    if text is None:
        return now
    try:
        when = local_moment(text, ZoneInfo(field.time_zone))
    except ClockError as fault:
        raise DataError([f"spray: when: {fault}"]) from None
    if when > now + timedelta(hours=FUTURE_TOLERANCE_H):
        raise DataError([f'spray: when: got "{text}", wanted no later than now; check the date'])
    return when


def _labelled(treatment: Treatment) -> None:
    missing = [key for key in _LABEL_KEYS if getattr(treatment, key) is None]
    if missing:
        raise DataError(
            [
                f"spray: treatment {treatment.id}: got no {' and no '.join(missing)}, wanted both "
                f"before a spray is logged; enter {' and '.join(missing)} of treatment "
                f"{treatment.id} from its label, the longest of the mix"
            ]
        )


def _known(what: str, text: str, ids: Iterable[str]) -> None:
    known = list(ids)
    if text not in known:
        close = get_close_matches(text, known, n=1)
        hint = f'did you mean "{close[0]}"?' if close else f"wanted {', '.join(known)}"
        raise DataError([f'spray: {what}: got "{text}", which the config does not have; {hint}'])
