"""Fields that a killing freeze took out of the order and that wait to be looked at."""

from collections.abc import Mapping
from dataclasses import dataclass

from dispatch.harvest_room import Picked, picked_by_field
from dispatch.past_freeze import after_freeze
from dispatch.record_figures import AfterFreeze
from dispatch.words import LocalClock, day_range
from farm.field import Field
from scheduler.opening import OpenFarm
from scheduler.season_records import SeasonRecords, season_records


@dataclass(frozen=True)
class Waiting:
    """A field that waits, and how it stands after its freeze."""

    field: Field
    told: AfterFreeze


def waiting_fields(farm: OpenFarm) -> tuple[Waiting, ...]:
    """The fields that wait for a look, or for another one, those that froze first on top.

    A field found killed waits no more, and a sprayed or picked one has its own list.

    Raises
    ------
    StorageError
        A record is damaged; it is named.
    """
    records = season_records(farm.stores, farm.config.time_zone, farm.now)
    picked = picked_by_field(records.harvests, records.sprays)
    waiting = []
    for one in farm.config.fields:
        told = _after_freeze(farm, records, one)
        if told is not None and told.found != "killed" and _beside(records, picked, one) is None:
            waiting.append(Waiting(one, told))
    return tuple(sorted(waiting, key=lambda one: (one.told.froze_utc, one.field.name)))


def standing_words(farm: OpenFarm, one: Field) -> str:
    """How a field stands now, by all that is on record of it: a look typed late may be no news.

    Raises
    ------
    StorageError
        A record is damaged; it is named.
    """
    records = season_records(farm.stores, farm.config.time_zone, farm.now)
    picked = picked_by_field(records.harvests, records.sprays)
    beside, told = _beside(records, picked, one), _after_freeze(farm, records, one)
    if beside is not None:
        return f"The field is {beside}, so this changes no call."
    if told is None:
        return "No freeze keeps the field out of the order."
    if told.found == "killed":
        return "The field is out of the order for this season."
    if told.found == "unclear":
        return "The field stays out of the order: look again."
    return (
        "The field stays out of the order: look at it "
        f"{day_range(told.inspect_from, told.inspect_until)}."
    )


def _beside(records: SeasonRecords, picked: Mapping[str, Picked], one: Field) -> str | None:
    if one.id in picked and picked[one.id].all_of(one):
        return "picked"
    return "sprayed" if one.id in records.sprays else None


def _after_freeze(farm: OpenFarm, records: SeasonRecords, one: Field) -> AfterFreeze | None:
    return after_freeze(
        records.freezes.get(one.id, ()),
        records.inspections.get(one.id, ()),
        farm.config.rules[one.id].gates.killing_f,
        farm.now,
        LocalClock(one.time_zone, farm.config.time_zone, farm.today),
    )
