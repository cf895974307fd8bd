"""All stores of one farm's database."""

from dataclasses import dataclass
from pathlib import Path
from types import TracebackType

from pydantic import SecretStr

from storage.account_store import AccountStore, SessionStore
from storage.consent_store import ConsentStore
from storage.database import Database, open_database
from storage.delivery_log import DeliveryLog
from storage.delivery_reports import DeliveryReportStore
from storage.feed_store import FeedStore
from storage.field_store import FieldStore
from storage.forecast_store import ForecastStore
from storage.freeze_store import FreezeInspectionStore, FreezeStore
from storage.harvest_store import HarvestStore
from storage.look_request_store import LookRequestStore
from storage.own_error_store import OwnErrorStore
from storage.plan_store import PlanStore
from storage.retraction_store import RetractionStore
from storage.route_store import RouteNoteStore, RoutePlanStore
from storage.run_log import RunLog
from storage.spray_store import SprayStore
from storage.verification_store import VerificationStore
from storage.visit_store import VisitStore


@dataclass(frozen=True)
class Stores:
    """The stores, on one database; a context manager that closes it."""

    database: Database
    fields: FieldStore
    visits: VisitStore
    sprays: SprayStore
    harvests: HarvestStore
    freezes: FreezeStore
    freeze_inspections: FreezeInspectionStore
    retractions: RetractionStore
    forecasts: ForecastStore
    plans: PlanStore
    deliveries: DeliveryLog
    runs: RunLog
    consents: ConsentStore
    delivery_reports: DeliveryReportStore
    look_requests: LookRequestStore
    route_plans: RoutePlanStore
    route_notes: RouteNoteStore
    own_errors: OwnErrorStore
    verifications: VerificationStore
    accounts: AccountStore
    sessions: SessionStore
    feeds: FeedStore

    def close(self) -> None:
        """Close the database."""
        self.database.close()

    def __enter__(self) -> "Stores":
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        fault: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        self.close()


def open_stores(
    address: str | Path, folder: str | Path, password: SecretStr | None = None
) -> Stores:
    """The stores of the database at an address; a relative file is taken from ``folder``.

    ``password`` is that of a database server's user.

    Raises
    ------
    StorageError
        The database cannot be opened; see `open_database`.
    """
    database = open_database(address, folder, password)
    return Stores(
        database=database,
        fields=FieldStore(database),
        visits=VisitStore(database),
        sprays=SprayStore(database),
        harvests=HarvestStore(database),
        freezes=FreezeStore(database),
        freeze_inspections=FreezeInspectionStore(database),
        retractions=RetractionStore(database),
        forecasts=ForecastStore(database),
        plans=PlanStore(database),
        deliveries=DeliveryLog(database),
        runs=RunLog(database),
        consents=ConsentStore(database),
        delivery_reports=DeliveryReportStore(database),
        look_requests=LookRequestStore(database),
        route_plans=RoutePlanStore(database),
        route_notes=RouteNoteStore(database),
        own_errors=OwnErrorStore(database),
        verifications=VerificationStore(database),
        accounts=AccountStore(database),
        sessions=SessionStore(database),
        feeds=FeedStore(database),
    )
