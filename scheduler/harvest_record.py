"""One harvest record from what a person typed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from farm.field import Field
from farm.records import Harvest, Spray
from farm.retraction import entered_anew
from farm.treatment import Treatment
from scheduler.data_error import DataError
from scheduler.spray_record import intervals, not_before
from scheduler.typed_record import (
    content_uuid,
    is_date_alone,
    limits,
    refuse_long,
    season_of,
    typed_moment,
    typed_number,
)

#: Share of a field by which more may be picked than it has left. Judgement: headlands and
#: rounding, as much as a field counts as picked short of its acres.
ROUNDING_FRAC = 0.02

#: Local hour that the date of a harvest alone stands for [h]: its first minute, so that it never
#: lies ahead and the same date typed again is the same harvest.
DATE_ALONE_H = 0


@dataclass(frozen=True)
class AcresLeft:
    """What stands of a field: its acres, those picked, and the moment they count from."""

    field: Field
    picked_acres: float
    since_utc: datetime
    sprayed: bool

    @property
    def acres(self) -> float:
        """Acres not picked yet, never below 0."""
        return max(0.0, round(self.field.acres - self.picked_acres, 2))

    @property
    def words(self) -> str:
        """How the acres come about."""
        zone = ZoneInfo(self.field.time_zone)
        since = f"{self.since_utc.astimezone(zone):%a %-d %b %Y}"
        event = f"its spray of {since}" if self.sprayed else f"the season began on {since}"
        return f"{self.field.acres:g} less {round(self.picked_acres, 2):g} picked since {event}"


def acres_left(
    field: Field,
    harvests: Sequence[Harvest],
    sprays: Sequence[Spray],
    moment_utc: datetime,
    zone: ZoneInfo,
) -> AcresLeft:
    """What stands of a field at a moment.

    Passes count from the last spray before the moment, or from the first day of its season where
    there was none; up to the next spray, so that a pass logged late is held against those after
    it too.

    Parameters
    ----------
    harvests, sprays
        All of this field.
    zone
        The farm's, in which a season begins.
    """
    begins, ends = season_of(moment_utc, zone)
    sprayed = sorted(one.sprayed_utc for one in sprays)
    last = max((one for one in sprayed if begins <= one <= moment_utc), default=None)
    until = min((one for one in sprayed if moment_utc < one < ends), default=ends)
    since = begins if last is None else last
    picked = sum(one.acres for one in harvests if since <= one.harvested_utc < until)
    return AcresLeft(field, picked, since, last is not None)


def harvest_record(
    field: Field,
    harvests: Sequence[Harvest],
    sprays: Sequence[Spray],
    now: datetime,
    zone: ZoneInfo,
    texts: Mapping[str, str | None],
    note: str = "",
    taken_back: frozenset[UUID] = frozenset(),
) -> Harvest:
    """The record of one pass of harvest.

    Parameters
    ----------
    harvests, sprays
        All of this field that were not taken back.
    texts
        ``when`` (ISO, in the field's zone unless it says otherwise; now if None) and ``acres``
        (what is left of the field if None).
    taken_back
        Records that were taken back: the same content again is then entered anew.

    Returns
    -------
    Harvest
        Its uuid is made from what was typed, so that the same again is the harvest kept already.

    Raises
    ------
    DataError
        A time in the future or before planting, or more acres than the field has left.
    """
    refuse_long("harvest", Harvest, {"note": note})
    typed = texts.get("when")
    when = now if typed is None else typed_moment("harvest", typed, field, now, DATE_ALONE_H)
    asked = texts.get("acres")
    acres = None if asked is None else _acres(asked)
    content = (field.id, when.astimezone(UTC).isoformat(), acres, note)
    uuid = entered_anew(content_uuid("harvest", *content), taken_back)
    known = next((one for one in harvests if one.uuid == uuid), None)
    if known is not None:
        return known
    left = acres_left(field, harvests, sprays, when, zone)
    _refuse_more(left, acres)
    return Harvest(
        uuid=uuid,
        field_id=field.id,
        harvested_utc=when,
        acres=left.acres if acres is None else acres,
        note=note,
    )


def interval_note(
    harvest: Harvest,
    sprays: Sequence[Spray],
    treatments: Mapping[str, Treatment],
    field: Field,
    when: str | None,
) -> str | None:
    """What to tell of a harvest before the interval of the last spray was over, else None.

    A date alone (``when`` as it was typed) is early only on the days before the last of it.
    """
    before = [one for one in sprays if one.sprayed_utc <= harvest.harvested_utc]
    last = max(before, key=lambda one: one.sprayed_utc, default=None)
    earliest = None if last is None else intervals(last, treatments.get(last.treatment_id))
    if earliest is None or earliest.harvest_utc is None:
        return None
    zone = ZoneInfo(field.time_zone)
    picked, until = (
        moment.astimezone(zone) for moment in (harvest.harvested_utc, earliest.harvest_utc)
    )
    date_alone = when is not None and is_date_alone(when)
    early = picked.date() < until.date() if date_alone else picked < until
    if not early:
        return None
    return (
        f"{field.name}: this is earlier than {not_before(earliest.harvest_utc, zone)}, the "
        "earliest harvest by the label values entered for its last spray; kept as you reported it"
    )


def _acres(text: str) -> float:
    most = limits(Harvest, "acres")[1]
    return typed_number("harvest", "acres", text, 0.01, most, "acres")


def _refuse_more(left: AcresLeft, acres: float | None) -> None:
    name = left.field.name
    if acres is None and left.acres <= 0:
        raise DataError(
            [
                f"harvest: acres: got nothing left of {name} ({left.words}), wanted some; it is "
                "picked already, nothing needs to be logged"
            ]
        )
    room = left.field.acres * (1 + ROUNDING_FRAC) - left.picked_acres
    if acres is not None and acres > room:
        raise DataError(
            [
                f"harvest: acres: got {acres:g}, wanted at most the {left.acres:g} that {name} has "
                f"left ({left.words}); correct the acres or the time, or the field's acres"
            ]
        )
