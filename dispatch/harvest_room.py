"""Never more acres sprayed than can be picked in time: what is left of the harvest's room.

The room follows from what is on record alone, sprays and harvests, and never from the maturity of
other fields: so a visit that is lost cannot make room for a spray.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from dispatch.policy import HarvestCapacity
from dispatch.record_figures import HarvestRoom
from farm.field import Field
from farm.records import Harvest, Spray

#: Share of a field that counts as all of it when its passes are added up. Judgement: headlands
#: and rounding.
PICKED_FRAC = 0.98


@dataclass(frozen=True)
class Picked:
    """What was picked of a field since its spray: acres, and the last pass."""

    acres: float
    last_utc: datetime

    def all_of(self, one: Field) -> bool:
        """Whether the whole field is picked."""
        return self.acres >= PICKED_FRAC * one.acres


def picked_by_field(harvests: Iterable[Harvest], sprays: Mapping[str, Spray]) -> dict[str, Picked]:
    """What is picked of each field; passes before its last spray do not count.

    Parameters
    ----------
    harvests, sprays
        Of this season, up to now.
    """
    picked: dict[str, Picked] = {}
    for one in harvests:
        spray = sprays.get(one.field_id)
        if spray is not None and one.harvested_utc < spray.sprayed_utc:
            continue
        before = picked.get(one.field_id)
        picked[one.field_id] = Picked(
            one.acres + (before.acres if before else 0.0),
            max(one.harvested_utc, before.last_utc) if before else one.harvested_utc,
        )
    return picked


def harvest_room(
    capacity: HarvestCapacity,
    registered: Sequence[Field],
    sprayed: Collection[str],
    picked: Mapping[str, Picked],
) -> HarvestRoom | None:
    """Acres that may still be sprayed; None where the harvest's pace was not entered.

    ``sprayed`` are the ids of fields that were sprayed, or may have been.
    """
    if capacity.acres_per_day is None:
        return None
    waiting = [
        max(0.0, one.acres - (picked[one.id].acres if one.id in picked else 0.0))
        for one in registered
        if one.id in sprayed and not (one.id in picked and picked[one.id].all_of(one))
    ]
    room = capacity.acres_per_day * capacity.within_days - sum(waiting)
    return HarvestRoom(
        acres_a_day=capacity.acres_per_day,
        within_days=capacity.within_days,
        backlog_acres=round(sum(waiting), 1),
        room_acres=round(max(0.0, room), 1),
    )


def beyond_room(acres_in_order: Sequence[float], room: HarvestRoom | None) -> list[bool]:
    """Which fields of the order the harvest has no room for, first come first served.

    The first field that does not fit holds all after it, so that less room never lets another
    field through: losing a record of a harvest could otherwise bring a spray. Only a field that
    is larger than the whole harvest's room is passed over, since it can never fit.
    """
    if room is None:
        return [False] * len(acres_in_order)
    largest = room.acres_a_day * room.within_days
    left, held = room.room_acres, []
    for acres in acres_in_order:
        fits = acres <= left
        held.append(not fits)
        if fits:
            left -= acres
        elif acres <= largest:
            left = 0.0
    return held
