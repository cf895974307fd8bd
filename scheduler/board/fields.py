"""What is known of single fields, as the board reads it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time
from typing import TYPE_CHECKING, get_args
from uuid import UUID

from agronomy.season import season_start
from farm.records import Visit
from farm.retraction import Kind
from scheduler.board.again import ReadAgain
from scheduler.explanation import Evidence, explain
from scheduler.plans import known_to
from scheduler.undone import happened_utc
from storage.entered_when import entered_when
from storage.errors import StorageError
from storage.newest_rows import RECORDS, newest_rows
from storage.take_back import NoSuchRecordError, all_readable, take_back
from web.field_desk import FieldRecords, KeptRecord, RecordRefusal

if TYPE_CHECKING:
    from dispatch.field_rules import FieldRules
    from dispatch.report import FieldCall, MorningReport
    from scheduler.board.desk import FarmNow
    from scheduler.opening import OpenFarm
    from scheduler.section import Section
    from storage.append_only import DamagedRow
    from storage.stores import Stores

#: Fields whose rules and visits of a morning are kept at hand.
MOST_KNOWN = 500


@dataclass(frozen=True)
class _AllRecords:
    by_field: dict[str, tuple[KeptRecord, ...]]
    by_id: dict[tuple[Kind, UUID], KeptRecord]
    damaged: "tuple[DamagedRow, ...]"


class KeptFields:
    """The fields of a farm."""

    def __init__(self, farm: "FarmNow") -> None:
        self._farm = farm
        self._again = ReadAgain()

    def records(self, field_id: str) -> FieldRecords:
        """What people entered of a field this season, newest first."""
        farm = self._farm()
        known = self._records(farm)
        begin = datetime.combine(season_start(farm.today), time(), farm.zone)
        told = tuple(one.told for one in known.damaged if field_id in one.field_ids)
        of_field = known.by_field.get(field_id, ())
        return FieldRecords(tuple(one for one in of_field if one.happened_utc >= begin), told)

    def record(self, kind: Kind, uuid: UUID) -> KeptRecord | None:
        """One record of any season."""
        return self._records(self._farm()).by_id.get((kind, uuid))

    def rules(self, report: "MorningReport", field_id: str) -> "FieldRules | None":
        """The rules a morning judged a field by."""
        return self._known(self._farm(), report, field_id)[1]

    def explained(self, report: "MorningReport", one: "FieldCall") -> "Sequence[Section]":
        """Every figure behind a call, section by section."""
        from config.check import who_tells

        farm = self._farm()
        visits, rules = self._known(farm, report, one.field.id)
        tellers = farm.config.tellers.get(one.field.id)
        told_by = who_tells(tellers, farm.config.settings.forecast) if tellers else ""
        return explain(Evidence(report, one, visits, rules, told_by))

    def take_back(self, kind: Kind, uuid: UUID, by: str, why: str) -> None:
        """Take a record back, once."""
        farm = self._farm()
        try:
            take_back(farm.stores, kind, uuid, farm.now, by, why)
        except (NoSuchRecordError, StorageError) as fault:
            raise RecordRefusal(str(fault)) from fault

    def _known(
        self, farm: "OpenFarm", report: "MorningReport", field_id: str
    ) -> "tuple[list[Visit], FieldRules | None]":
        mark = (report.run.made_utc, newest_rows(farm.stores.database, *RECORDS))
        known: dict[str, tuple[list[Visit], FieldRules | None]]
        known = self._again("known", mark, dict)
        if len(known) >= MOST_KNOWN:
            known.clear()
        if field_id not in known:
            of_field = reversed(self._records(farm).by_field.get(field_id, ()))
            visits = [one.record for one in of_field if isinstance(one.record, Visit)]
            known[field_id] = known_to(farm, report, field_id, visits)
        return known[field_id]

    def _records(self, farm: "OpenFarm") -> _AllRecords:
        mark = newest_rows(farm.stores.database, *RECORDS)
        return self._again("records", mark, lambda: _all_records(farm.stores))


def _all_records(stores: "Stores") -> _AllRecords:
    kinds = {kind: all_readable(stores, kind) for kind in get_args(Kind)}
    retractions, lost = stores.retractions.all_readable()
    taken_back = {one.of_uuid: one for one in retractions}
    entered = entered_when(stores.database)
    by_id = {
        (kind, one.uuid): KeptRecord(
            kind=kind,
            record=one,
            happened_utc=happened_utc(one),
            entered_utc=entered[kind, one.uuid],
            taken_back=taken_back.get(one.uuid),
        )
        for kind, (whole, _) in kinds.items()
        for one in whole
    }
    by_field: dict[str, list[KeptRecord]] = {}
    for kept in sorted(by_id.values(), key=lambda one: one.happened_utc, reverse=True):
        by_field.setdefault(kept.record.field_id, []).append(kept)
    damaged = (*lost, *(row for _, rows in kinds.values() for row in rows))
    return _AllRecords({name: tuple(of) for name, of in by_field.items()}, by_id, damaged)
