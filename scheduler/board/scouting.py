"""Scouting for the board: which fields to walk, and visits kept as they come in."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import TYPE_CHECKING
from uuid import UUID

from dispatch.count_figures import count_figures, count_sentences
from scheduler.asked_looks import asked_rows, open_requests
from scheduler.board.photos import PhotoFolder, UnfitPhotoError
from scheduler.due_visits import due_visits, why_due
from scheduler.scouting_row import RowError, visit_from_texts
from storage.errors import StorageError
from storage.newest_rows import newest_rows
from storage.tables import look_requests, retractions, visits
from web.scout_desk import AskedLook, KeptVisit, VisitRefusal

if TYPE_CHECKING:
    from dispatch.report import FieldCall, MorningReport
    from farm.records import Visit
    from scheduler.board.desk import FarmNow
    from scheduler.opening import OpenFarm

#: Looks asked for and last walks, with the newest rows they were read from.
_Kept = tuple[tuple[int, ...], tuple[AskedLook, ...], dict[str, datetime]]


class KeptScouting:
    """The scouting of a farm, as the board reads and adds to it."""

    def __init__(self, farm: "FarmNow") -> None:
        self._farm = farm
        self._kept: _Kept | None = None

    def due(self, report: "MorningReport") -> "tuple[FieldCall, ...]":
        """Fields where a visit is worth something, most gain first."""
        return due_visits(report)

    def why(self, one: "FieldCall") -> str:
        """Why a field is worth walking, in a sentence."""
        return why_due(one)

    def asked(self) -> tuple[AskedLook, ...]:
        """Fields that somebody asked to have looked at and nobody has walked since."""
        return self._read()[0]

    def walked(self, report: "MorningReport") -> frozenset[str]:
        """Fields that were walked after the visit their call rests on."""
        latest = self._read()[1]
        rests_on = {one.field.id: one.maturity.visited_utc for one in report.fields}
        return frozenset(
            field_id
            for field_id, told in rests_on.items()
            if field_id in latest and (told is None or latest[field_id] > told)
        )

    def nacb_max(self, field_id: str) -> float:
        """Most nodes above cracked boll on a mature field."""
        return self._farm().config.rules[field_id].maturity.nacb_max

    def add(self, texts: Mapping[str, str], by: str, photo: bytes | None) -> KeptVisit:
        """Keep a visit and its photo, once for each uuid."""
        farm = self._farm()
        given = {"observed": farm.now.isoformat(timespec="seconds"), **_filled(texts), "scout": by}
        try:
            visit = visit_from_texts(given, farm.fields_by_id, farm.now)
        except RowError as refusal:
            raise VisitRefusal(refusal.problems) from None
        if photo is not None:
            # Before the visit: whoever sends it again because no answer came brings it again.
            _keep_photo(farm, visit, photo)
        try:
            new = farm.stores.visits.add([visit], farm.now)
        except StorageError as fault:
            if "got other content" not in str(fault):
                raise
            told = "got another visit under the number of one that is kept; enter it anew"
            raise VisitRefusal([("uuid", told)]) from fault
        return KeptVisit(visit.uuid, visit.field_id, "kept" if new else "known", self._said(visit))

    def photo(self, field_id: str, uuid: UUID) -> bytes | None:
        """The photo of a visit to a field."""
        farm = self._farm()
        if uuid not in {one.uuid for one in farm.stores.visits.of_field(field_id)}:
            return None
        return _photos(farm).read(uuid)

    def photographed(self, uuids: Iterable[UUID]) -> frozenset[UUID]:
        """Those of some visits that have a photo."""
        return _photos(self._farm()).taken(uuids)

    def _read(self) -> tuple[tuple[AskedLook, ...], dict[str, datetime]]:
        """Looks asked for, and when each field was walked last; read again when any was added."""
        farm = self._farm()
        mark, kept = (
            newest_rows(farm.stores.database, visits, retractions, look_requests),
            self._kept,
        )
        if kept is None or kept[0] != mark:
            requests = open_requests(farm)
            asked = tuple(
                AskedLook(one.field_id, by, on)
                for one, (_, by, on) in zip(requests, asked_rows(requests, farm), strict=True)
            )
            taken_back = farm.stores.retractions.taken_back(farm.now)
            latest = farm.stores.visits.latest_by_field(taken_back)
            kept = (mark, asked, {one.field_id: one.observed_utc for one in latest.values()})
            self._kept = kept
        return kept[1], kept[2]

    def _said(self, visit: "Visit") -> tuple[str, ...]:
        limit = self.nacb_max(visit.field_id)
        return count_sentences(visit, count_figures(visit, limit, speaks=True), limit)


def _filled(texts: Mapping[str, str]) -> dict[str, str]:
    return {column: text for column, text in texts.items() if text.strip()}


def _keep_photo(farm: "OpenFarm", visit: "Visit", photo: bytes) -> None:
    try:
        _photos(farm).keep(visit.uuid, photo)
    except UnfitPhotoError as fault:
        raise VisitRefusal([("photo", str(fault))]) from None


def _photos(farm: "OpenFarm") -> PhotoFolder:
    return PhotoFolder(farm.config.folder / "photos")
