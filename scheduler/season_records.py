"""What is on record of this season, up to a moment: last year's spray does not speak for today."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, time
from typing import Protocol, TypeVar
from zoneinfo import ZoneInfo

from agronomy.season import season_start
from farm.records import Freeze, FreezeInspection, Harvest, Spray, Visit
from storage.stores import Stores


class _OfField(Protocol):
    @property
    def field_id(self) -> str: ...


Record = TypeVar("Record", bound=_OfField)


@dataclass(frozen=True)
class SeasonRecords:
    """The records of one season; ``sprays`` holds the last one of each field."""

    visits: tuple[Visit, ...]
    sprays: dict[str, Spray]
    harvests: tuple[Harvest, ...]
    freezes: dict[str, tuple[Freeze, ...]]
    inspections: dict[str, tuple[FreezeInspection, ...]]


def season_records(stores: Stores, time_zone: str, now: datetime) -> SeasonRecords:
    """The records from the season's first day, in the farm's zone, up to ``now``.

    Raises
    ------
    StorageError
        A record is damaged; it is named.
    """
    zone = ZoneInfo(time_zone)
    begin = datetime.combine(season_start(now.astimezone(zone).date()), time(), zone)

    def ours(moment: datetime) -> bool:
        return begin <= moment <= now

    sprays = sorted(stores.sprays.all(), key=lambda one: one.sprayed_utc)
    return SeasonRecords(
        visits=tuple(one for one in stores.visits.all() if ours(one.observed_utc)),
        sprays={one.field_id: one for one in sprays if ours(one.sprayed_utc)},
        harvests=tuple(one for one in stores.harvests.all() if ours(one.harvested_utc)),
        freezes=_by_field(one for one in stores.freezes.all() if ours(one.froze_utc)),
        inspections=_by_field(
            one for one in stores.freeze_inspections.all() if ours(one.inspected_utc)
        ),
    )


def _by_field(records: Iterable[Record]) -> dict[str, tuple[Record, ...]]:
    found: dict[str, tuple[Record, ...]] = {}
    for one in records:
        found[one.field_id] = (*found.get(one.field_id, ()), one)
    return found
