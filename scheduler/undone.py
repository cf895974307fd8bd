"""What is told of a record that was taken back, and how lists mark it."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any
from uuid import UUID
from zoneinfo import ZoneInfo

from dispatch.words import age
from farm.field import Field
from farm.retraction import Retraction
from scheduler.freeze_waiting import standing_words
from scheduler.harvest_record import acres_left
from scheduler.season_records import SeasonRecords, readable_records
from storage.take_back import Entered, TakenBack, short_id

if TYPE_CHECKING:
    from scheduler.opening import OpenFarm

#: The column of a record's short id, in every list.
ID_HEADER = "id"


def marked_note(
    uuid: UUID, note: str, taken_back: Mapping[UUID, Retraction], zone: ZoneInfo
) -> str:
    """A record's note as lists show it, behind the mark that it was taken back."""
    retraction = taken_back.get(uuid)
    if retraction is None:
        return note
    return "; ".join(filter(None, (f"TAKEN BACK {_when_by(retraction, zone)}", note)))


def taken_back_json(uuid: UUID, taken_back: Mapping[UUID, Retraction]) -> dict[str, Any]:
    """``taken_back`` of a record for other programs, null where it was not."""
    one = taken_back.get(uuid)
    told = one and one.model_dump(mode="json", include={"retracted_utc", "by", "why"})
    return {"taken_back": told}


def undone_lines(farm: "OpenFarm", told: TakenBack) -> list[str]:
    """What was taken back, and how its field stands without it."""
    field = farm.fields_by_id.get(told.record.field_id)
    zone = ZoneInfo(field.time_zone) if field else farm.zone
    name = field.name if field else f"{told.record.field_id} (not registered)"
    kind, at = told.retraction.kind, _local(happened_utc(told.record), zone)
    done = "taken back" if told.new else f"was taken back before, {_when_by(told.retraction, zone)}"
    lines = [f"{name}: {kind} of {at} {done} ({short_id(told.record.uuid)})"]
    if field is not None:
        lines.append(_standing(farm, field, told))
    return lines


def happened_utc(record: Entered) -> datetime:
    """When what a record tells of happened."""
    moments = ("observed_utc", "sprayed_utc", "harvested_utc", "froze_utc", "inspected_utc")
    moment: datetime = next(getattr(record, one) for one in moments if hasattr(record, one))
    return moment


def _standing(farm: "OpenFarm", field: Field, told: TakenBack) -> str:
    records = readable_records(farm.stores, farm.config.time_zone, farm.now)
    zone = ZoneInfo(field.time_zone)
    if records.damaged:
        return "A record is damaged, so how the field stands is not told; see warmspell doctor"
    if told.retraction.kind == "visit":
        return _last_visit(farm, field, records)
    if told.retraction.kind == "spray":
        spray = records.sprays.get(field.id)
        if spray is None:
            return "No spray of this season is left on it: the next morning decides it again"
        return f"It still stands as sprayed {_local(spray.sprayed_utc, zone)}"
    if told.retraction.kind == "harvest":
        taken_back = farm.stores.retractions.taken_back(farm.now)
        own = farm.stores.harvests.of_field(field.id, taken_back)
        sprays = farm.stores.sprays.of_field(field.id, taken_back)
        left = acres_left(field, own, sprays, happened_utc(told.record), farm.zone)
        return f"{left.acres:g} of {field.acres:g} acres left"
    return standing_words(farm, field)


def _last_visit(farm: "OpenFarm", field: Field, records: SeasonRecords) -> str:
    last = _newest(one for one in records.visits if one.field_id == field.id)
    if last is None:
        return "No visit of this season is left on it: its call is not known until it is walked"
    made_utc = happened_utc(last)
    old = age((farm.now - made_utc).total_seconds() / 3600)
    return f"Its last visit is now that of {_local(made_utc, ZoneInfo(field.time_zone))}, {old}"


def _newest(records: Iterable[Entered]) -> Entered | None:
    return max(records, key=happened_utc, default=None)


def _when_by(retraction: Retraction, zone: ZoneInfo) -> str:
    by = f" by {retraction.by}" if retraction.by else ""
    why = f": {retraction.why}" if retraction.why else ""
    return f"{_local(retraction.retracted_utc, zone)}{by}{why}"


def _local(moment: datetime, zone: ZoneInfo) -> str:
    return f"{moment.astimezone(zone):%a %-d %b %H:%M}"
