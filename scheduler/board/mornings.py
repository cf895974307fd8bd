"""The newest plan and what happened since, read again only when something was added."""

from datetime import timedelta
from typing import TYPE_CHECKING

from scheduler.board.again import ReadAgain
from scheduler.plans import NoPlanError, latest_plan
from scheduler.rig_routes import since_morning
from storage.errors import StorageError
from storage.newest_rows import RECORDS, newest_rows
from storage.tables import plans, route_notes, route_plans

if TYPE_CHECKING:
    from dispatch.report import MorningReport
    from dispatch.routes.called import Since
    from scheduler.board.desk import FarmNow


class KeptMornings:
    """The plans of a farm, as the board reads them."""

    def __init__(self, farm: "FarmNow") -> None:
        self._farm = farm
        self._again = ReadAgain()

    def latest(self) -> "MorningReport | None":
        """The plan made last, sent or only tried; the same object until there is a newer."""
        farm = self._farm()

        def read() -> "MorningReport | None":
            try:
                return latest_plan(farm.stores, farm.config.path)
            except NoPlanError:
                return None

        return self._again("plan", newest_rows(farm.stores.database, plans), read)

    def called_before(self, report: "MorningReport") -> "frozenset[str] | None":
        """Ids of the fields called the day before a plan; None where no plan of it is read."""
        stores, on = self._farm().stores, report.run.local_date - timedelta(days=1)

        def read() -> "frozenset[str] | None":
            try:
                before = stores.plans.on(on)
            except StorageError:
                return None
            if before is None:
                return None
            return frozenset(one.field.id for one in before.to_act_on())

        return self._again("before", (on, newest_rows(stores.database, plans)), read)

    def since(self, report: "MorningReport") -> "Since":
        """What has happened since a plan was made, as of the begun hour."""
        farm = self._farm()
        hour = max(farm.now, report.run.made_utc).replace(minute=0, second=0, microsecond=0)
        newest = newest_rows(farm.stores.database, *RECORDS, route_plans, route_notes)
        mark = (report.run.made_utc, hour, newest)
        return self._again("since", mark, lambda: since_morning(farm, report))
