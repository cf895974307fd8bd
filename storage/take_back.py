"""Records taken back: found by the start of their id, and left out from then on.

A retraction is a record of its own, and what it takes back stays where it is. Taking back is for
good: what was right after all is entered anew. So what is taken back by a moment is a set that
only grows, whatever the order retractions come in and however often.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from farm.records import Freeze, FreezeInspection, Harvest, Spray, Visit
from farm.retraction import Kind, Retraction, entered_anew, retraction_uuid
from storage.append_only import DamagedRow
from storage.stores import Stores

Entered = Visit | Spray | Harvest | Freeze | FreezeInspection

#: Letters of an id that lists show; among some thousand records they are seldom shared.
SHORT_ID = 8
#: Fewest letters of an id that are taken for one; judgement, against slips of the hand.
FEWEST_LETTERS = 4


class NoSuchRecordError(Exception):
    """No record, or more than one, is meant by what was asked for; one line says which."""


@dataclass(frozen=True)
class TakenBack:
    """A record, its retraction, and whether that is new: the first one stands."""

    record: Entered
    retraction: Retraction
    new: bool


def short_id(uuid: UUID) -> str:
    """The start of an id, as lists show it."""
    return str(uuid)[:SHORT_ID]


def find_record(stores: Stores, kinds: Sequence[Kind], start: str) -> tuple[Kind, Entered]:
    """The one record of some kinds whose id begins so; one taken back is found too.

    Raises
    ------
    NoSuchRecordError
        There is none, or several.
    StorageError
        The records cannot be read.
    """
    asked = start.strip().lower()
    if len(asked.replace("-", "")) < FEWEST_LETTERS:
        raise NoSuchRecordError(f'got "{start}", wanted at least {FEWEST_LETTERS} letters of an id')
    found = [
        (kind, one)
        for kind in kinds
        for one in all_readable(stores, kind)[0]
        if str(one.uuid).startswith(asked)
    ]
    if len(found) == 1:
        return found[0]
    if found:
        ids = ", ".join(sorted(str(one.uuid) for _, one in found)[:5])
        raise NoSuchRecordError(f'got "{start}", which {len(found)} ids begin with; say {ids}')
    raise NoSuchRecordError(f'got "{start}", wanted the start of the id of a {" or ".join(kinds)}')


def take_back(
    stores: Stores, kind: Kind, of_uuid: UUID, now: datetime, by: str = "", why: str = ""
) -> TakenBack:
    """Take a record back; once it was, the first retraction stands and nothing is added.

    Parameters
    ----------
    of_uuid
        The record's, of this ``kind``.
    now
        From this moment on nothing is concluded from the record.
    by, why
        Who takes it back, and the reason.

    Raises
    ------
    NoSuchRecordError
        No whole record of this kind has that uuid.
    StorageError
        Nothing was saved.
    """
    with stores.database.write():
        record = next((one for one in all_readable(stores, kind)[0] if one.uuid == of_uuid), None)
        if record is None:
            raise NoSuchRecordError(f"got {of_uuid}, wanted the id of a {kind} that is on record")
        for kept in stores.retractions.all_readable()[0]:
            if kept.of_uuid == of_uuid:
                return TakenBack(record, kept, new=False)
        retraction = Retraction(
            uuid=retraction_uuid(of_uuid),
            field_id=record.field_id,
            retracted_utc=now,
            kind=kind,
            of_uuid=of_uuid,
            by=by,
            why=why,
        )
        stores.retractions.add(retraction, now)
    return TakenBack(record, retraction, new=True)


class StandingSprays:
    """The sprays that were not taken back, for who keeps them by a link that can be pressed again.

    A spray whose link is pressed after it was taken back is entered anew.
    """

    def __init__(self, stores: Stores) -> None:
        self._stores = stores

    def add(self, spray: Spray, now: datetime) -> bool:
        """Add one; False if it was known already."""
        uuid = entered_anew(spray.uuid, self._taken_back())
        return self._stores.sprays.add(spray.model_copy(update={"uuid": uuid}), now)

    def of_field(self, field_id: str) -> tuple[Spray, ...]:
        """A field's sprays in the order they happened."""
        return self._stores.sprays.of_field(field_id, self._taken_back())

    def _taken_back(self) -> frozenset[UUID]:
        return frozenset(self._stores.retractions.by_record())


def all_readable(stores: Stores, kind: Kind) -> tuple[tuple[Entered, ...], tuple[DamagedRow, ...]]:
    """Every whole record of a kind, taken back or not, and the rows that are not whole."""
    if kind == "visit":
        return stores.visits.all_readable()
    if kind == "spray":
        return stores.sprays.all_readable()
    if kind == "harvest":
        return stores.harvests.all_readable()
    if kind == "freeze":
        return stores.freezes.all_readable()
    return stores.freeze_inspections.all_readable()
