"""One application record from what a person typed."""

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from difflib import get_close_matches
from typing import TYPE_CHECKING
from uuid import NAMESPACE_URL, uuid5
from zoneinfo import ZoneInfo

from farm.field import Field
from farm.records import Spray
from scheduler.clock import ClockError, local_moment
from scheduler.data_error import DataError
from scheduler.scouting_row import FUTURE_TOLERANCE_H

if TYPE_CHECKING:
    from config.settings import Settings

_NAMESPACE = uuid5(NAMESPACE_URL, "warmspell:spray")
_LONGEST = {"applicator": 80, "note": 500}


def spray_record(
    field: Field,
    settings: "Settings",
    now: datetime,
    texts: Mapping[str, str | None],
    applicator: str = "",
    note: str = "",
) -> Spray:
    """The record of one application.

    Parameters
    ----------
    texts
        ``when`` (ISO, in the field's zone unless it says otherwise; now if None), ``treatment``
        (an id; the field's own if None) and ``rig`` (an id or None).

    Returns
    -------
    Spray
        Its uuid is made from the content, so that the same record again is the same spray.

    Raises
    ------
    DataError
        A time in the future, or an id that the config does not have.
    """
    for name, text in (("applicator", applicator), ("note", note)):
        if len(text) > _LONGEST[name]:
            raise DataError(
                [f"spray: {name}: got {len(text)} letters, wanted at most {_LONGEST[name]}"]
            )
    when = _moment(texts.get("when"), field, now)
    treatment = texts.get("treatment") or field.treatment_id
    _known("treatment", treatment, (one.id for one in settings.treatments))
    rig = texts.get("rig")
    if rig is not None:
        _known("rig", rig, (one.id for one in settings.rigs))
    content = "|".join((field.id, when.isoformat(), treatment, rig or "", applicator, note))
    return Spray(
        uuid=uuid5(_NAMESPACE, content),
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


def _known(what: str, text: str, ids: Iterable[str]) -> None:
    known = list(ids)
    if text not in known:
        close = get_close_matches(text, known, n=1)
        hint = f'did you mean "{close[0]}"?' if close else f"wanted {', '.join(known)}"
        raise DataError([f'spray: {what}: got "{text}", which the config does not have; {hint}'])
