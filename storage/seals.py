"""Every sealed record looked at: how many there are, and which are not what was written."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from storage.append_only import DamagedRow
from storage.consent_store import ConsentStore
from storage.database import Database
from storage.freeze_store import FreezeInspectionStore, FreezeStore
from storage.harvest_store import HarvestStore
from storage.look_request_store import LookRequestStore
from storage.own_error_store import OwnErrorStore
from storage.retraction_store import RetractionStore
from storage.route_store import RouteNoteStore, RoutePlanStore
from storage.spray_store import SprayStore
from storage.visit_store import VisitStore

_Readable = Callable[[], tuple[Sequence[object], tuple[DamagedRow, ...]]]


@dataclass(frozen=True)
class SealedTable:
    """A table of sealed records: its rows, and a line for each damaged one."""

    name: str
    rows: int
    damaged: tuple[str, ...]


def look_at_seals(database: Database) -> tuple[SealedTable, ...]:
    """Every table whose rows carry a seal, each row compared with its own.

    Raises
    ------
    StorageError
        A table cannot be read at all.
    """
    readable: dict[str, _Readable] = {
        "visits": VisitStore(database).all_readable,
        "sprays": SprayStore(database).all_readable,
        "harvests": HarvestStore(database).all_readable,
        "freezes": FreezeStore(database).all_readable,
        "freeze_inspections": FreezeInspectionStore(database).all_readable,
        "look_requests": LookRequestStore(database).all_readable,
    }
    looked = []
    for name, read in readable.items():
        whole, damaged = read()
        told = tuple(one.told for one in damaged)
        looked.append(SealedTable(name, len(whole) + len(damaged), told))
    looked.append(_retractions(RetractionStore(database)))
    looked.append(SealedTable("consents", *ConsentStore(database).damaged()))
    looked.append(SealedTable("own_low_errors", *OwnErrorStore(database).damaged()))
    looked.append(SealedTable("route_plans", *RoutePlanStore(database).damaged()))
    looked.append(SealedTable("route_notes", *RouteNoteStore(database).damaged()))
    return tuple(looked)


def _retractions(store: RetractionStore) -> SealedTable:
    whole, damaged = store.all_readable()
    told = (*(one.told for one in damaged), *store.of_nothing())
    return SealedTable("retractions", len(whole) + len(damaged), told)
