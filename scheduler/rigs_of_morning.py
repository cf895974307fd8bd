"""The rigs of a morning: planned right after its calls, in what is left before the deadline."""

import logging
import math
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING, Any

from dispatch.report import MorningReport
from dispatch.routes.plan import RoutePlan
from notify.morning_rigs import MorningRigs
from notify.rig_sheet import FarmFacts
from scheduler.rig_routes import fleet_of, kept, searched, since_morning
from scheduler.route_files import farm_facts
from scheduler.standing_rigs import in_digest

if TYPE_CHECKING:
    from scheduler.opening import OpenFarm
    from storage.stores import Stores

#: Plans the rigs of a morning from its report and its inputs; None where nobody is told of them.
RigPlanner = Callable[[MorningReport, dict[str, Any]], MorningRigs | None]

#: Share of the time left before the deadline that rigs are planned in. Judgement: digests are
#: still to be written and handed over.
SHARE_OF_LEFT = 0.25
#: Less time than this is none to search in [s]. Judgement.
LEAST_S = 1.0
#: What a field, a rig and a day together take beside the search, which nothing cuts short [s].
#: Measured with `benchmarks.invented_rigs`, 200 fields, 8 rigs, 5 days, on a busy machine, and
#: doubled.
BESIDE_S = 0.0015

NO_TIME = "Not planned: no time was left before the deadline; run warmspell routes"
FAILED = "Not planned: it failed, and whoever runs this finds why in the log; run warmspell routes"
OVERTAKEN = "Not shown: another plan was made meanwhile; warmspell routes has it"

log = logging.getLogger("warmspell.morning")


def rig_planner(
    farm: "OpenFarm", clock: Callable[[], datetime], until_utc: datetime | None = None
) -> RigPlanner | None:
    """What plans the rigs of a farm's morning; None where it is not wanted, or lies back.

    Parameters
    ----------
    farm
        The farm.
    clock
        Tells the time as the morning goes on; the plan begins no sooner.
    until_utc
        When the digests are due; None where nobody waits for them.
    """
    settings = farm.config.settings
    if farm.past or not in_digest(settings.routes, settings.rigs):
        return None

    def plan(report: MorningReport, inputs: dict[str, Any]) -> MorningRigs | None:
        told, now = MorningRigs(FarmFacts(report.run.farm_name)), clock()
        left_s = math.inf if until_utc is None else (until_utc - now).total_seconds()
        beside_s = BESIDE_S * len(report.to_act_on()) * len(settings.rigs) * settings.routes.days
        search_s = min(settings.routes.search_s, SHARE_OF_LEFT * left_s - beside_s)
        try:
            told = replace(told, facts=farm_facts(farm, report))
            if search_s < min(LEAST_S, settings.routes.search_s):
                return told.without_plan(NO_TIME)
            plan = _planned(replace(farm, now=now), report, inputs, search_s)
            return replace(told, plan=plan)
        # A plan that cannot be made costs its own lines, never the digest.
        except Exception:
            log.exception("the rigs of the morning could not be planned")
            return told.without_plan(FAILED)

    return plan


def _planned(
    farm: "OpenFarm", report: MorningReport, inputs: dict[str, Any], search_s: float
) -> RoutePlan:
    """The plan with the revision that it will have if no other is kept meanwhile."""
    fleet = fleet_of(farm, report, search_s, None, table_wait_s=search_s)
    since = since_morning(farm, report, inputs=inputs)
    return kept(farm, searched(report, fleet, since, search_s), dry_run=True)


def overtaken(rigs: MorningRigs | None, stores: "Stores") -> bool:
    """Whether another plan of rigs was kept since the one of the morning was made."""
    if rigs is None or rigs.plan is None:
        return False
    return stores.route_plans.next_revision() != rigs.plan.revision
