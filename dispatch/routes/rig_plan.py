"""From a morning to a plan of rigs that has been checked."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from zoneinfo import ZoneInfo

from dispatch.report import MorningReport
from dispatch.routes.basis import basis_of, nothing_changed
from dispatch.routes.called import Since, called_jobs, morning_notes
from dispatch.routes.change_check import check_change
from dispatch.routes.changes import Facts, changes, gone_words
from dispatch.routes.checker import check_plan
from dispatch.routes.draw_up import draw_up
from dispatch.routes.fleet import Fleet
from dispatch.routes.greedy import greedy_routes, routes_gain_ac
from dispatch.routes.insertion import fill_in
from dispatch.routes.kept import clock_of, hold_locks, kept_routes, out_words
from dispatch.routes.left_out import left_out_fields
from dispatch.routes.part_check import check_parts
from dispatch.routes.part_names import field_of, part_of
from dispatch.routes.parts import (
    by_fields,
    by_jobs,
    left_in_parts,
    parted_jobs,
    pinned_parts,
    with_pinned,
)
from dispatch.routes.plan import LeftOut, PlannedDay, RoutePlan
from dispatch.routes.planner import Found, best_routes, routes_worth_ac
from dispatch.routes.problem import FieldJob, RouteProblem, Routes
from dispatch.routes.rig_days import rig_days
from dispatch.routes.sky_check import check_sky
from dispatch.routes.standing import Standing
from dispatch.routes.travel import Place, Travel, travel_between
from dispatch.routes.under_way import begun_days, fixed_days, log_notes
from farm.rig import Rig


class BrokenPlanError(Exception):
    """A plan that breaks a rule of the checker, which nobody may see."""


@dataclass(frozen=True, eq=False)
class Asked:
    """What there is to plan, with what was left away before.

    ``gone`` says why fields of the plan before are not to be planned any more, ``kept`` what of
    it still works out, ``basis`` seals what the plan follows from.
    """

    since: Since
    problem: RouteProblem
    left_out: tuple[LeftOut, ...]
    notes: tuple[str, ...]
    gone: dict[str, str]
    kept: Routes | None
    basis: str


def asked_of(report: MorningReport, fleet: Fleet, since: Since) -> Asked:
    """Turn a morning into what there is to plan.

    Parameters
    ----------
    report
        The morning's calls.
    fleet
        The rigs and all that is set for them.
    since
        The time now, what happened after the morning, and what stands of the plan before.
    """
    called, left = called_jobs(report, fleet.treatments, fleet.settings, since)
    told, since = since, replace(since, standing=by_jobs(since.standing))
    before = since.standing
    fields = {one.field_id for one in called}
    callable_ids = fields | {name for name in before.stops if field_of(name) in fields}
    setup_min = fleet.settings.setup_min
    fixed = fixed_days(report, before, since.now, callable_ids, fleet.rigs, setup_min)
    settled = {stop.field_id for day in fixed for stop in day.stops}
    pinned, away = pinned_parts(before, settled), {*settled, *before.sprayed}
    jobs = with_pinned(called, pinned, away)
    left = left_in_parts([one for one in left if one.field_id not in settled], pinned, away)
    plain, crews = _problem(report, fleet, since, jobs, fixed)
    if (parted := parted_jobs(plain)) != jobs:
        jobs = parted
        plain, crews = _problem(report, fleet, since, jobs, fixed)
    gone = gone_words(report, before, {one.field_id: one.why for one in left}, jobs)
    locks = tuple(one for one in before.locks if one.field_id not in settled)
    problem, unheld = hold_locks(plain, replace(before, locks=locks), gone)
    notes = (
        *(
            *before.notes,
            *unheld,
            *_out_notes(problem, fleet, since),
            *log_notes(fixed, report, since.now),
        ),
        *(*morning_notes(report, jobs, fleet.treatments), *crews),
        *(*_rig_notes(fleet.rigs), *fleet.notes),
    )
    kept = kept_routes(problem, before.plan) if before.plan else None
    basis = basis_of(report, fleet, told, settled)
    return Asked(since, problem, left, notes, gone, kept, basis)


def _problem(
    report: MorningReport,
    fleet: Fleet,
    since: Since,
    jobs: tuple[FieldJob, ...],
    fixed: tuple[PlannedDay, ...],
) -> tuple[RouteProblem, tuple[str, ...]]:
    """The problem without locks, and a sentence for each rig that a driver is missing for."""
    before, start_utc = since.standing, since.start_utc
    zone = ZoneInfo(report.run.time_zone)
    seated = {(one.rig_id, one.on): one.driver for one in fixed}
    days, crews = rig_days(fleet.rigs, start_utc, zone, fleet.settings.days, before.outages, seated)
    travel, places = _travel(report, fleet, jobs, fixed)
    days = begun_days(days, fixed, before, start_utc, places, fleet.treatments)
    settled = {stop.field_id for day in fixed for stop in day.stops}
    stays = {
        field_id: (day.rig_id, day.on)
        for field_id, (day, stop) in before.stops.items()
        if field_id not in settled and stop.start_utc >= start_utc
    }
    problem = RouteProblem(
        *(start_utc, report.run.time_zone, jobs, days, travel, fleet.settings),
        fixed=fixed,
        stays=stays,
    )
    return problem, crews


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
    found = _found(asked, keep_going)
    plan = _plan(asked, found)
    if broken := _broken(report, asked, plan):
        found = _by_hand(asked, broken)
        plan = _plan(asked, found)
        if broken := _broken(report, asked, plan):
            raise BrokenPlanError(f"routes: {'; '.join(broken[:3])}; no plan is shown")
    more_ac = 0.0
    if asked.kept is not None:
        now_ac, kept_ac = (
            routes_worth_ac(asked.problem, one) for one in (found.routes, asked.kept)
        )
        more_ac = now_ac - kept_ac
    facts = Facts(report, asked.problem, asked.since.standing, asked.gone, more_ac)
    told = {
        "changes": changes(facts, plan),
        "basis": asked.basis,
        "made_utc": since.now,
        "morning_utc": report.run.made_utc,
    }
    return by_fields(plan.model_copy(update=told))


def _found(asked: Asked, keep_going: Callable[[float], bool]) -> Found:
    """The best visits; those of the plan before where nothing has changed since."""
    before, problem = asked.since.standing.plan, asked.problem
    if before and asked.kept and nothing_changed(problem, before, asked.basis, asked.kept):
        gain_ac = routes_gain_ac(problem, asked.kept)
        return Found(asked.kept, before.method, gain_ac, gain_ac)
    return best_routes(problem, keep_going, asked.kept)


def _by_hand(asked: Asked, broken: Sequence[str]) -> Found:
    problem = asked.problem
    routes = greedy_routes(problem) if asked.kept is None else fill_in(problem, asked.kept)
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
        *check_change(
            *(
                plan,
                asked.since.standing,
                asked.since.now,
                asked.problem.fixed,
                asked.problem.locks,
            ),
            lock_min=asked.problem.settings.lock_min,
        ),
        *check_parts(report, by_fields(plan), _done_parts(asked.since.standing)),
    ]


def _travel(
    report: MorningReport, fleet: Fleet, jobs: Sequence[FieldJob], fixed: Sequence[PlannedDay]
) -> tuple[Travel, dict[str, int]]:
    """The travel, and the place of each field, yard, and field a rig is on already."""
    middle = _middle(report)
    yards = {rig.id: yard_of(rig) or middle for rig in fleet.rigs}
    places = {one.field_id: at for at, one in enumerate(jobs)}
    # The parts of a field lie where their field lies, and roads are told by fields.
    parts_of: dict[str, list[str]] = {}
    for one in jobs:
        parts_of.setdefault(field_of(one.field_id), []).append(one.field_id)
    places |= {f"yard:{rig_id}": len(jobs) + at for at, rig_id in enumerate(yards)}
    entries = {one.field.id: one.field.entry for one in report.fields}
    here = {one.stops[-1].field_id for one in fixed if field_of(one.stops[-1].field_id) in entries}
    for name in sorted(here):
        places[name] = len(jobs) + len(yards)
        yards[f"field:{name}"] = entries[field_of(name)]
        parts_of.setdefault(field_of(name), []).append(name)
    told_miles, told_min = (
        {
            (places[start], places[end]): told
            for (from_place, to_place), told in ways.items()
            for start in parts_of.get(from_place, [from_place])
            for end in parts_of.get(to_place, [to_place])
            if start in places and end in places
        }
        for ways in (fleet.told_miles, fleet.told_min)
    )
    fields = [(one.latitude, one.longitude) for one in jobs]
    factor = fleet.settings.road_factor
    return travel_between(fields, yards, factor, told_miles, told_min), places


def _done_parts(standing: Standing) -> dict[str, set[int]]:
    """Numbers of the parts reported done, by field."""
    done: dict[str, set[int]] = {}
    for name in standing.parts_done:
        if told := part_of(name):
            done.setdefault(field_of(name), set()).add(told[0])
    return done


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


def _out_notes(problem: RouteProblem, fleet: Fleet, since: Since) -> list[str]:
    """A sentence for each rig that is out in the days planned."""
    names = {one.id: one.name for one in fleet.rigs}
    ends_utc = problem.moment(24 * 60 * fleet.settings.days)
    return [
        out_words(names.get(one.rig_id, one.rig_id), one, clock_of(problem))
        for one in since.standing.outages
        if one.touches(problem.start_utc, ends_utc)
    ]


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
