"""Every sealed record looked at: how many there are, and which are not what was written."""

from dataclasses import dataclass

from farm.look_request import LookRequest
from farm.records import Freeze, FreezeInspection, Harvest, Spray, Visit
from storage import tables
from storage.append_only import AppendOnly
from storage.consent_store import ConsentStore
from storage.database import Database


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
    stores: tuple[
        AppendOnly[Visit]
        | AppendOnly[Spray]
        | AppendOnly[Harvest]
        | AppendOnly[Freeze]
        | AppendOnly[FreezeInspection]
        | AppendOnly[LookRequest],
        ...,
    ] = (
        AppendOnly(database, tables.visits, Visit, "observed_utc"),
        AppendOnly(database, tables.sprays, Spray, "sprayed_utc"),
        AppendOnly(database, tables.harvests, Harvest, "harvested_utc"),
        AppendOnly(database, tables.freezes, Freeze, "froze_utc"),
        AppendOnly(database, tables.freeze_inspections, FreezeInspection, "inspected_utc"),
        AppendOnly(database, tables.look_requests, LookRequest, "asked_utc"),
    )
    names = ("visits", "sprays", "harvests", "freezes", "freeze_inspections", "look_requests")
    looked = []
    for name, store in zip(names, stores, strict=True):
        whole, damaged = store.all_readable()
        told = tuple(one.told for one in damaged)
        looked.append(SealedTable(name, len(whole) + len(damaged), told))
    looked.append(SealedTable("consents", *ConsentStore(database).damaged()))
    return tuple(looked)
