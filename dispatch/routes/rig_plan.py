"""From a morning to a plan of rigs that has been checked."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from zoneinfo import ZoneInfo

from dispatch.report import MorningReport
from dispatch.routes.called import Since, called_jobs, morning_notes
from dispatch.routes.checker import check_plan
from dispatch.routes.draw_up import draw_up
from dispatch.routes.greedy import greedy_routes, routes_gain_ac
from dispatch.routes.left_out import left_out_fields
from dispatch.routes.plan import LeftOut, RoutePlan
from dispatch.routes.planner import Found, best_routes
from dispatch.routes.problem import FieldJob, RouteProblem
from dispatch.routes.rig_days import rig_days
from dispatch.routes.settings import RouteSettings
from dispatch.routes.sky_check import check_sky
from dispatch.routes.travel import Place, Travel, travel_between
from farm.rig import Rig
from farm.treatment import Treatment


class BrokenPlanError(Exception):
    """A plan that breaks a rule of the checker, which nobody may see."""


@dataclass(frozen=True)
class Fleet:
    """The rigs, the mixes, the settings, and what is told of the roads between named places.

    A place is named by the id of its field, or ``yard:`` and that of a rig. Miles are infinite
    where there is no way; ``told_min`` are the least minutes a way takes. ``notes`` are
    sentences for the plan about where these come from.
    """

    rigs: tuple[Rig, ...]
    treatments: Mapping[str, Treatment]
    settings: RouteSettings
    told_miles: Mapping[tuple[str, str], float] = field(default_factory=dict)
    told_min: Mapping[tuple[str, str], float] = field(default_factory=dict)
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Asked:
    """What there is to plan, with what was left away before."""

    problem: RouteProblem
    left_out: tuple[LeftOut, ...]
    notes: tuple[str, ...]


def asked_of(report: MorningReport, fleet: Fleet, since: Since) -> Asked:
    """Turn a morning into what there is to plan.

    Parameters
    ----------
    report
        The morning's calls.
    fleet
        The rigs and all that is set for them.
    since
        The time now, and what happened after the morning.
    """
    jobs, left = called_jobs(report, fleet.treatments, fleet.settings, since)
    zone = ZoneInfo(report.run.time_zone)
    days, standing = rig_days(fleet.rigs, since.start_utc, zone, fleet.settings.days)
    travel = _travel(report, fleet, jobs)
    problem = RouteProblem(
        since.start_utc, report.run.time_zone, jobs, days, travel, fleet.settings
    )
    notes = (
        *(*morning_notes(report, jobs, fleet.treatments), *standing),
        *(*_rig_notes(fleet.rigs), *fleet.notes),
    )
    return Asked(problem, left, notes)


def plan_rigs(
    report: MorningReport, fleet: Fleet, since: Since, keep_going: Callable[[float], bool]
) -> RoutePlan:
    """The plan of rigs from a morning.

    A searched plan that fails the checker is thrown away for the one made by hand.

    Raises
    ------
    BrokenPlanError
        That one fails too.
    """
    asked = asked_of(report, fleet, since)
    found = best_routes(asked.problem, keep_going)
    plan = _plan(asked, found)
    if broken := _broken(report, asked, plan):
        found = _by_hand(asked.problem, broken)
        plan = _plan(asked, found)
        if broken := _broken(report, asked, plan):
            raise BrokenPlanError(f"routes: {'; '.join(broken[:3])}; no plan is shown")
    return plan


def _by_hand(problem: RouteProblem, broken: Sequence[str]) -> Found:
    routes = greedy_routes(problem)
    gain = routes_gain_ac(problem, routes)
    note = f"The searched plan broke a rule and was thrown away ({broken[0]}); please report it"
    return Found(routes, "greedy", gain, gain, note)


def _plan(asked: Asked, found: Found) -> RoutePlan:
    left = (*asked.left_out, *left_out_fields(asked.problem, found.routes))
    notes = (*asked.notes, found.note) if found.note else asked.notes
    return draw_up(asked.problem, found.routes, found.method, left_out=left, notes=notes)


def _broken(report: MorningReport, asked: Asked, plan: RoutePlan) -> list[str]:
    known = {one.field_id for one in asked.problem.jobs}
    planned_of = plan.model_copy(
        update={"left_out": tuple(one for one in plan.left_out if one.field_id in known)}
    )
    wheels = {rig.id for rig in asked.problem.rigs if rig.kind == "ground"}
    wet_ground_h = asked.problem.settings.wet_ground_h
    return [
        *check_plan(asked.problem, planned_of),
        *check_sky(report, plan, wheels, wet_ground_h),
    ]


def _travel(report: MorningReport, fleet: Fleet, jobs: Sequence[FieldJob]) -> Travel:
    middle = _middle(report)
    yards = {rig.id: yard_of(rig) or middle for rig in fleet.rigs}
    places = {one.field_id: at for at, one in enumerate(jobs)}
    places |= {f"yard:{rig_id}": len(jobs) + at for at, rig_id in enumerate(yards)}
    told_miles, told_min = (
        {
            (places[start], places[end]): told
            for (start, end), told in ways.items()
            if start in places and end in places
        }
        for ways in (fleet.told_miles, fleet.told_min)
    )
    fields = [(one.latitude, one.longitude) for one in jobs]
    return travel_between(fields, yards, fleet.settings.road_factor, told_miles, told_min)


def yard_of(rig: Rig) -> Place | None:
    """Where a rig stands at night; None where it was not entered."""
    if rig.yard_latitude is None or rig.yard_longitude is None:
        return None
    return rig.yard_latitude, rig.yard_longitude


def _middle(report: MorningReport) -> Place:
    fields = [one.field for one in report.fields]
    count = max(1, len(fields))
    return (
        sum(one.latitude for one in fields) / count,
        sum(one.longitude for one in fields) / count,
    )


def _rig_notes(rigs: Sequence[Rig]) -> list[str]:
    notes = [
        f"{rig.name} has no yard entered: it starts from the middle of the fields; enter "
        "yard_latitude and yard_longitude"
        for rig in rigs
        if yard_of(rig) is None
    ]
    notes += [
        f"{rig.name} has no tank_gal or no refill_min entered: its refills are not counted in full"
        for rig in rigs
        if rig.tank_gal is None or rig.refill_min is None
    ]
    return notes
