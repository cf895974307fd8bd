"""What is on record of this season, up to a moment: last year's spray does not speak for today."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from datetime import datetime, time
from typing import Protocol, TypeVar
from uuid import UUID
from zoneinfo import ZoneInfo

from agronomy.season import season_start
from farm.records import Freeze, FreezeInspection, Harvest, Spray, Visit
from storage.append_only import DamagedRow
from storage.errors import StorageError
from storage.stores import Stores


class _OfField(Protocol):
    @property
    def uuid(self) -> UUID: ...

    @property
    def field_id(self) -> str: ...


#: The table of what was taken back.
RETRACTIONS = "retractions"

Record = TypeVar("Record", bound=_OfField)


@dataclass(frozen=True)
class SeasonRecords:
    """The records of one season that were not taken back; ``sprays`` holds each field's last one.

    ``damaged`` are rows that are not what was written; nothing else here speaks of them.
    """

    visits: tuple[Visit, ...]
    sprays: dict[str, Spray]
    harvests: tuple[Harvest, ...]
    freezes: dict[str, tuple[Freeze, ...]]
    inspections: dict[str, tuple[FreezeInspection, ...]]
    damaged: tuple[DamagedRow, ...] = ()

    def certain(self) -> "SeasonRecords":
        """Without what may have been taken back: the records of fields whose retraction is damaged.

        Their visits stay: nothing is concluded from those of a field with a damaged record.
        """
        named = (one.field_ids for one in self.damaged if one.table == RETRACTIONS)
        doubtful = frozenset().union(*named)
        return replace(
            self,
            sprays={name: one for name, one in self.sprays.items() if name not in doubtful},
            harvests=tuple(one for one in self.harvests if one.field_id not in doubtful),
            freezes={name: of for name, of in self.freezes.items() if name not in doubtful},
            inspections={name: of for name, of in self.inspections.items() if name not in doubtful},
        )


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

    visits, lost_visits = stores.visits.all_readable()
    sprays, lost_sprays = stores.sprays.all_readable()
    harvests, lost_harvests = stores.harvests.all_readable()
    freezes, lost_freezes = stores.freezes.all_readable()
    looks, lost_looks = stores.freeze_inspections.all_readable()
    # Read last: what is taken back while the others are read is left out, never the other way.
    retractions, lost_retractions = stores.retractions.all_readable()
    taken_back = {one.of_uuid for one in retractions if one.retracted_utc <= now}

    def ours(record: _OfField, moment: datetime) -> bool:
        return begin <= moment <= now and record.uuid not in taken_back

    in_order = sorted(sprays, key=lambda one: one.sprayed_utc)
    lost = (*lost_visits, *lost_sprays, *lost_harvests, *lost_freezes, *lost_looks)
    lost = (*lost, *lost_retractions)
    return SeasonRecords(
        visits=tuple(one for one in visits if ours(one, one.observed_utc)),
        sprays={one.field_id: one for one in in_order if ours(one, one.sprayed_utc)},
        harvests=tuple(one for one in harvests if ours(one, one.harvested_utc)),
        freezes=_by_field(one for one in freezes if ours(one, one.froze_utc)),
        inspections=_by_field(one for one in looks if ours(one, one.inspected_utc)),
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
