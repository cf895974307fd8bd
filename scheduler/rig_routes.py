"""The plan of rigs from the latest morning, with what has happened since."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from dispatch.routes.called import Since
from dispatch.routes.fleet import Fleet
from dispatch.routes.plan import RoutePlan
from dispatch.routes.rig_plan import plan_rigs
from dispatch.routes.what_if import WhatIf, cases, row_of, with_rigs
from scheduler.plans import DRY_RUN
from scheduler.road_miles import road_miles
from scheduler.roads import with_roads
from scheduler.route_before import standing_of
from scheduler.search_clock import SearchClock, told_before

if TYPE_CHECKING:
    from dispatch.report import MorningReport
    from scheduler.opening import OpenFarm


def fleet_of(
    farm: "OpenFarm",
    report: "MorningReport",
    search_s: float | None,
    seed: int | None,
    table_wait_s: float = math.inf,
) -> Fleet:
    """The rigs and all that is set for them, with what was asked on the command line.

    A road table, where one is set, is asked for the roads between the fields called, for no
    longer than ``table_wait_s``.
    """
    settings = farm.config.settings
    wait_s = min(table_wait_s, settings.routes.table_wait_s)
    asked = {"search_s": search_s, "seed": seed, "table_wait_s": wait_s}
    given = {key: value for key, value in asked.items() if value is not None}
    routes = settings.routes.model_copy(update=given)
    own_miles = (
        road_miles(
            Path(farm.config.folder) / routes.miles,
            [one.id for one in farm.config.fields],
            [one.id for one in settings.rigs],
        )
        if routes.miles
        else {}
    )
    mixes = {one.id: one for one in settings.treatments}
    return with_roads(Fleet(settings.rigs, mixes, routes, told_miles=own_miles), report)


def since_morning(
    farm: "OpenFarm",
    report: "MorningReport",
    lock: Sequence[str] = (),
    unlock: Sequence[str] = (),
    inputs: Mapping[str, Any] | None = None,
) -> Since:
    """The time now, the fields with a spray or a freeze the morning did not know of, and what
    stands of the plan kept last, with the stops that are to be locked or locked no more.

    ``inputs`` are those of a morning that is not kept yet.
    """
    from scheduler.season_records import readable_records

    plans = farm.stores.plans
    inputs = inputs or plans.inputs_of(report) or plans.inputs_of(report, DRY_RUN) or {}
    known = {uuid for uuids in inputs.get("records", {}).values() for uuid in uuids}
    now = max(farm.now, report.run.made_utc)
    found = readable_records(farm.stores, report.run.time_zone, now)
    frozen = (one for of_field in found.freezes.values() for one in of_field)
    return Since(
        now=now,
        age_no_spray_h=farm.config.settings.dispatch.age_no_spray_h,
        sprayed=frozenset(
            one.field_id for one in found.sprays.values() if str(one.uuid) not in known
        ),
        frozen=frozenset(one.field_id for one in frozen if str(one.uuid) not in known),
        standing=standing_of(farm, now, found.sprays, lock, unlock),
    )


def plan_routes(report: "MorningReport", fleet: Fleet, since: Since) -> RoutePlan:
    """The plan, searched for as long as the settings allow."""
    allowed_s = fleet.settings.search_s
    told_before(allowed_s, 1)
    return searched(report, fleet, since, allowed_s)


def kept(farm: "OpenFarm", plan: RoutePlan, *, dry_run: bool) -> RoutePlan:
    """The plan with its revision; kept, unless it is only looked at or made for a time past."""
    if dry_run or farm.past:
        return plan.model_copy(update={"revision": farm.stores.route_plans.next_revision()})
    return farm.stores.route_plans.keep(plan, farm.now)


def compare(
    report: "MorningReport",
    fleet: Fleet,
    since: Since,
    rigs: int | None,
    hours_h: float | None,
) -> list[WhatIf]:
    """What more or fewer rigs, or longer days, would reach; each case gets its share of time."""
    asked = cases(fleet, rigs, hours_h)
    # What rigs could reach is not bound to what a plan has them do today.
    since = replace(since, standing=replace(since.standing, plan=None, locks=()))
    allowed_s = fleet.settings.search_s
    told_before(allowed_s, len(asked))
    rows = []
    for place, (count, lasting_h) in enumerate(asked):
        changed = with_rigs(fleet, count, lasting_h)
        plan = searched(report, changed, since, allowed_s / len(asked))
        rows.append(row_of(plan, count, lasting_h, as_entered=place == 0))
    return sorted(rows, key=lambda one: (one.hours_h is not None, one.hours_h or 0, one.rigs))


def searched(report: "MorningReport", fleet: Fleet, since: Since, allowed_s: float) -> RoutePlan:
    """The plan, searched for no longer than that."""
    clock = SearchClock(allowed_s, len(report.to_act_on()))
    try:
        return plan_rigs(report, fleet, since, clock)
    finally:
        clock.close()
