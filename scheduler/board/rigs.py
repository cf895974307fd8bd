"""Plans of rigs for the board: read, searched for, and reported on."""

import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from dispatch.routes.rig_plan import BrokenPlanError
from scheduler.data_error import DataError
from scheduler.plans import latest_plan
from scheduler.rig_routes import compare, fleet_of, kept, plan_routes, since_morning
from scheduler.route_files import farm_facts
from scheduler.route_notes import keep_note, planned_parts, planned_rig
from scheduler.spray_record import spray_record
from storage.errors import StorageError
from storage.newest_rows import newest_rows
from storage.tables import route_plans
from web.rigs_desk import RigsRefusal

if TYPE_CHECKING:
    from dispatch.report import MorningReport
    from dispatch.routes.plan import RoutePlan
    from dispatch.routes.what_if import WhatIf
    from farm.field import Field
    from notify.rig_sheet import FarmFacts
    from scheduler.board.desk import FarmNow
    from scheduler.opening import OpenFarm


class KeptRigPlans:
    """The plans of rigs of a farm, as the board reads and makes them."""

    def __init__(self, farm: "FarmNow") -> None:
        self._farm = farm
        self._searching, self._keeping = threading.Lock(), threading.Lock()
        self._latest: tuple[tuple[int, ...], RoutePlan | None] | None = None

    def latest(self) -> "RoutePlan | None":
        """The plan kept last; the same object until there is a newer."""
        stores = self._farm().stores
        mark, known = newest_rows(stores.database, route_plans), self._latest
        if known is None or known[0] != mark:
            with _told():
                known = (mark, stores.route_plans.latest())
            self._latest = known
        return known[1]

    def facts(self, report: "MorningReport") -> "FarmFacts":
        """What sheets and maps tell beside a plan."""
        return farm_facts(self._farm(), report)

    def plan(self, report: "MorningReport") -> "RoutePlan":
        """Search for a plan from now on and keep it."""
        farm = self._farm()
        with self._alone(farm), _told():
            since = since_morning(farm, report)
            found = plan_routes(report, fleet_of(farm, report, None, None), since)
            with self._keeping:
                return kept(farm, found, dry_run=False)

    def compare(self, report: "MorningReport", rigs: int) -> "Sequence[WhatIf]":
        """What so many rigs would reach, and one fewer and more."""
        farm = self._farm()
        with self._alone(farm), _told():
            fleet = fleet_of(farm, report, None, None)
            return compare(report, fleet, since_morning(farm, report), rigs, None)

    def done(self, field_id: str, when: str, who: str) -> None:
        """Log the spray of a stop, once."""
        farm = self._farm()
        field = _field(farm, field_id)
        on = farm.now.astimezone(ZoneInfo(field.time_zone)).date()
        texts = {
            "when": f"{on.isoformat()}T{when}" if when else None,
            "treatment": None,
            "rig": planned_rig(farm, field_id),
        }
        with self._keeping, _told():
            since = since_morning(farm, latest_plan(farm.stores, farm.config.path))
            if field_id in {*since.sprayed, *since.standing.sprayed}:
                raise RigsRefusal(
                    f"{field.name}: a spray is logged already; if it is wrong, take it back first"
                )
            if planned_parts(farm, field_id):
                raise RigsRefusal(
                    f"{field.name} is planned in parts: say on the command line which is done, "
                    f"warmspell routes done {field_id} --part 1"
                )
            taken_back = farm.stores.retractions.taken_back(farm.now)
            spray = spray_record(
                *(field, farm.config.settings, farm.now, texts, who), taken_back=taken_back
            )
            farm.stores.sprays.add(spray, farm.now)

    def skip(self, field_id: str, why: str) -> None:
        """Leave a field out of the plans until it is put back."""
        farm = self._farm()
        with _told():
            keep_note(farm, "skip", why, field_id=_field(farm, field_id).id)

    def missed(self, field_id: str, why: str) -> None:
        """A field was not sprayed though its time is past, or is skipped no more."""
        farm = self._farm()
        with _told():
            keep_note(farm, "missed", why, field_id=_field(farm, field_id).id)

    def lock(self, field_id: str, revision: int, *, locked: bool) -> None:
        """The same plan again, with a stop held or let go, as the next revision."""
        with self._keeping, _told():
            plan = self.latest()
            if plan is None or plan.revision != revision:
                raise RigsRefusal("another plan was made meanwhile; look at it first")
            farm = self._farm()
            farm.stores.route_plans.keep(_with_lock(plan, field_id, locked), farm.now)

    @contextmanager
    def _alone(self, farm: "OpenFarm") -> Iterator[None]:
        """One search at a time: each takes a processor for as long as is set."""
        if not self._searching.acquire(blocking=False):
            wait_s = farm.config.settings.routes.search_s
            raise RigsRefusal(f"somebody plans right now; look again in {wait_s:.0f} seconds")
        try:
            yield
        finally:
            self._searching.release()


@contextmanager
def _told() -> Iterator[None]:
    """What is wrong with what was asked or kept, as one line for the reader."""
    try:
        yield
    except (DataError, BrokenPlanError, StorageError) as fault:
        raise RigsRefusal(str(fault)) from fault


def _field(farm: "OpenFarm", field_id: str) -> "Field":
    field = farm.fields_by_id.get(field_id)
    if field is None:
        raise RigsRefusal("no such field is registered any more")
    return field


def _with_lock(plan: "RoutePlan", field_id: str, locked: bool) -> "RoutePlan":
    days = tuple(
        day.model_copy(
            update={
                "stops": tuple(
                    stop.model_copy(update={"locked": locked})
                    if stop.field_id == field_id and stop.state == "planned"
                    else stop
                    for stop in day.stops
                )
            }
        )
        for day in plan.days
    )
    # Reports count from the time it was made, so that stays.
    return plan.model_copy(update={"days": days})
