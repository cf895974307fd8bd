"""The farm as the ranking needs it: who it is, its fields and rules, and what is on record."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from zoneinfo import ZoneInfo

from dispatch.field_rules import FieldRules
from dispatch.policy import DispatchPolicy, HarvestCapacity
from dispatch.words import LocalClock
from farm.field import Field
from farm.records import Freeze, FreezeInspection, Harvest, Spray
from farm.rig import Rig


@dataclass(frozen=True)
class FarmMorning:
    """A farm on one morning.

    ``growers`` and ``treatments`` hold the name of each id, ``sprays`` the last spray of each
    field, ``freezes`` and ``inspections`` all of each field. Records are those of this season,
    up to now. ``unread`` are fields of which a record is damaged: they may have been sprayed.
    """

    name: str
    time_zone: str
    registered: tuple[Field, ...]
    rules: Mapping[str, FieldRules]
    rigs: tuple[Rig, ...]
    growers: Mapping[str, str]
    treatments: Mapping[str, str]
    sprays: Mapping[str, Spray]
    policy: DispatchPolicy
    harvest: HarvestCapacity = field(default_factory=HarvestCapacity)
    harvests: tuple[Harvest, ...] = ()
    freezes: Mapping[str, tuple[Freeze, ...]] = field(default_factory=dict)
    inspections: Mapping[str, tuple[FreezeInspection, ...]] = field(default_factory=dict)
    unread: frozenset[str] = frozenset()


def clock_of(farm: FarmMorning, one: Field, now: datetime) -> LocalClock:
    """The clock of the place a field lies in, with the farm's own day as today."""
    today = now.astimezone(ZoneInfo(farm.time_zone)).date()
    return LocalClock(one.time_zone, farm.time_zone, today)
