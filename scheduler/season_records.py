"""What is on record of this season, up to a moment: last year's spray does not speak for today."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime, time
from typing import Protocol, TypeVar
from zoneinfo import ZoneInfo

from agronomy.season import season_start
from farm.records import Freeze, FreezeInspection, Harvest, Spray, Visit
from storage.append_only import DamagedRow
from storage.errors import StorageError
from storage.stores import Stores


class _OfField(Protocol):
    @property
    def field_id(self) -> str: ...


Record = TypeVar("Record", bound=_OfField)


@dataclass(frozen=True)
class SeasonRecords:
    """The records of one season; ``sprays`` holds the last one of each field.

    ``damaged`` are rows that are not what was written; nothing else here speaks of them.
    """

    visits: tuple[Visit, ...]
    sprays: dict[str, Spray]
    harvests: tuple[Harvest, ...]
    freezes: dict[str, tuple[Freeze, ...]]
    inspections: dict[str, tuple[FreezeInspection, ...]]
    damaged: tuple[DamagedRow, ...] = ()


def season_records(stores: Stores, time_zone: str, now: datetime) -> SeasonRecords:
    """The records from the season's first day, in the farm's zone, up to ``now``.

    Raises
    ------
    StorageError
        A record is damaged; it is named.
    """
    found = readable_records(stores, time_zone, now)
    if found.damaged:
        raise StorageError(found.damaged[0].told)
    return found


def readable_records(stores: Stores, time_zone: str, now: datetime) -> SeasonRecords:
    """As `season_records`, but without the damaged rows, which are told apart."""
    zone = ZoneInfo(time_zone)
    begin = datetime.combine(season_start(now.astimezone(zone).date()), time(), zone)

    def ours(moment: datetime) -> bool:
        return begin <= moment <= now

    visits, lost_visits = stores.visits.all_readable()
    sprays, lost_sprays = stores.sprays.all_readable()
    harvests, lost_harvests = stores.harvests.all_readable()
    freezes, lost_freezes = stores.freezes.all_readable()
    looks, lost_looks = stores.freeze_inspections.all_readable()
    in_order = sorted(sprays, key=lambda one: one.sprayed_utc)
    lost = (*lost_visits, *lost_sprays, *lost_harvests, *lost_freezes, *lost_looks)
    return SeasonRecords(
        visits=tuple(one for one in visits if ours(one.observed_utc)),
        sprays={one.field_id: one for one in in_order if ours(one.sprayed_utc)},
        harvests=tuple(one for one in harvests if ours(one.harvested_utc)),
        freezes=_by_field(one for one in freezes if ours(one.froze_utc)),
        inspections=_by_field(one for one in looks if ours(one.inspected_utc)),
        # One of another season says nothing of this one, whole or not.
        damaged=tuple(one for one in lost if begin <= one.moment),
    )


def spoilt_fields(
    damaged: Iterable[DamagedRow], registered: Collection[str], known: Collection[str]
) -> dict[str, str]:
    """Why nothing is concluded of some fields, by id.

    A row that names no field ever registered may have spoken of any of them.
    """
    told: dict[str, str] = {}
    for one in damaged:
        named = one.field_ids & set(known)
        for field_id in named & set(registered) if named else registered:
            told.setdefault(
                field_id,
                f"A record of it is damaged ({one.table}, row {one.row}), so it is not known what "
                "was seen or done here.",
            )
    return told


def _by_field(records: Iterable[Record]) -> dict[str, tuple[Record, ...]]:
    found: dict[str, tuple[Record, ...]] = {}
    for one in records:
        found[one.field_id] = (*found.get(one.field_id, ()), one)
    return found
