"""Rigs and fields in the form of the search, and its answer back as visits.

Every window of a field is a client of its own, of which one may be served at most; every rig-day
is a vehicle of its own kind. What a rig takes for a field, and for the change of mix, lies on the
way out of it, in a table for each sort of rig. A window ends by when its spray must be *done*, so
it is cut by the spray's time for each work class of rigs.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from dispatch.routes.problem import RigDay, RouteProblem, Routes, Visit
from dispatch.routes.search import search
from dispatch.routes.staying import locked_rigs, most_kept_ac, moved_cost, stays_searched
from dispatch.routes.timing import timed_day
from dispatch.routes.work import cleanout_min, fills_in_yard, yard_fill_min
from dispatch.routes.work_classes import work_classes

if TYPE_CHECKING:
    from pyvrp import Client, ProblemData, Solution, VehicleType

Whole = npt.NDArray[np.int64]

#: Whole units of the search for an acre sprayed at full effect.
UNITS_AN_ACRE = 1000
#: Load that keeps a rig off the clients of another work class; a tank that holds any field.
CLASS_LOAD, ANY_TANK = 1000, 10**9


@dataclass(frozen=True, eq=False)
class _Clients:
    """The clients in order: what each stands for, the class of rigs it is for, its last start."""

    visits: tuple[Visit, ...]
    classes: tuple[int, ...]
    latest_min: tuple[int, ...]
    place: dict[tuple[int, int, int], int]


def searched_routes(
    problem: RouteProblem,
    start: Routes,
    keep_going: Callable[[float], bool],
) -> Routes:
    """The best visits found, starting from ``start``; a field that does not fit is dropped.

    Parameters
    ----------
    problem
        What there is to plan.
    start
        A plan that works out.
    keep_going
        Asked before every step with the gain so far, in acres at full effect.

    Raises
    ------
    ImportError
        The search is not installed.
    """
    classes = work_classes(problem)
    clients = _clients(problem, classes)
    if not clients.visits:
        return start
    data = _data(problem, classes, clients)
    all_prizes = sum(one.prize for one in data.clients())
    best = search(
        data,
        _solution(problem, data, classes, clients, start),
        problem.settings.seed,
        lambda cost: keep_going((all_prizes - cost) / UNITS_AN_ACRE),
    )
    return _routes(problem, clients, best)


def _clients(problem: RouteProblem, classes: dict[str, int]) -> _Clients:
    visits: list[Visit] = []
    of_class: list[int] = []
    latest_min: list[int] = []
    for job, one in enumerate(problem.jobs):
        for number in sorted(set(classes.values())):
            rigs = [rig for rig in problem.rigs if classes[rig.id] == number]
            fitting = [rig for rig in rigs if problem.fits_tank(rig, job)]
            if not fitting:
                continue
            for window, told in enumerate(one.windows):
                takers = [rig for rig in fitting if told.takes(rig)]
                if not takers:
                    continue
                longest_min = max(problem.spray_min[rig.id][job] for rig in takers)
                last_min = min(told.close_min - longest_min, told.last_start_min)
                if last_min >= told.open_min:
                    visits.append(Visit(job, window))
                    of_class.append(number)
                    latest_min.append(last_min)
    place = {
        (one.job, one.window, number): index
        for index, (one, number) in enumerate(zip(visits, of_class, strict=True))
    }
    return _Clients(tuple(visits), tuple(of_class), tuple(latest_min), place)


def _data(problem: RouteProblem, classes: dict[str, int], clients: _Clients) -> "ProblemData":
    from pyvrp import ClientGroup, Depot, Location, ProblemData

    jobs = range(len(problem.jobs))
    members: list[list[int]] = [[] for _ in jobs]
    for index, visit in enumerate(clients.visits):
        members[visit.job].append(index)
    grouped = {job: number for number, job in enumerate(job for job in jobs if members[job])}
    sorts = [_sort_of(day, stays=stays_searched(problem)) for day in problem.rig_days]
    profiles = list(dict.fromkeys(sorts))
    example = [problem.rig_days[sorts.index(one)] for one in profiles]
    # The library's own stubs name arrays by a shape that numpy's do not have.
    tables: list[tuple[Any, Any]] = [_tables(problem, day) for day in example]
    return ProblemData(
        locations=[Location(east, north) for north, east in problem.travel.places],
        clients=[
            _client(problem, classes, clients, index, grouped)
            for index in range(len(clients.visits))
        ],
        depots=[
            *(
                Depot(problem.travel.yard_of[rig.id], service_duration=yard_fill_min(rig))
                for rig in problem.rigs
            ),
            *(Depot(day.begun.place) for day in problem.rig_days if day.begun),
        ],
        vehicle_types=[
            _vehicle(problem, classes, day, profiles.index(sort))
            for day, sort in zip(problem.rig_days, sorts, strict=True)
        ],
        distance_matrices=[miles for miles, _ in tables],
        duration_matrices=[minutes for _, minutes in tables],
        groups=[ClientGroup(members[job], required=False) for job in grouped],
    )


def _sort_of(day: RigDay, *, stays: bool) -> tuple[str, RigDay | None]:
    """Rigs that take the same time everywhere share one table, unless fields stay with one."""
    named = {"id", "name", "yard_latitude", "yard_longitude", "day_start", "day_end"}
    plain = day.rig.model_dump_json(exclude=named | {"days_off", "drivers"})
    return plain, day if stays else None


def _client(
    problem: RouteProblem,
    classes: dict[str, int],
    clients: _Clients,
    index: int,
    grouped: dict[int, int],
) -> "Client":
    from pyvrp import Client

    visit, number = clients.visits[index], clients.classes[index]
    one = problem.jobs[visit.job]
    window = one.windows[visit.window]
    load = [CLASS_LOAD * (number == other) for other in sorted(set(classes.values()))]
    load += [CLASS_LOAD * (window.rig_id == other) for other in locked_rigs(problem)]
    prize_ac = problem.worth_ac(visit) + most_kept_ac(problem, visit.job)
    return Client(
        location=visit.job,
        delivery=[math.ceil(one.gallons or 0), *load],
        tw_early=window.open_min,
        tw_late=clients.latest_min[index],
        prize=round(UNITS_AN_ACRE * prize_ac),
        required=False,
        group=grouped[visit.job],
    )


def _vehicle(
    problem: RouteProblem, classes: dict[str, int], day: RigDay, profile: int
) -> "VehicleType":
    from pyvrp import VehicleType

    rig = day.rig
    depot = next(place for place, one in enumerate(problem.rigs) if one.id == rig.id)
    by_yard = fills_in_yard(rig)
    own = [ANY_TANK * (classes[rig.id] == one) for one in sorted(set(classes.values()))]
    own += [ANY_TANK * (rig.id == one) for one in locked_rigs(problem)]
    start, start_min = depot, day.start_min
    if day.begun and by_yard:
        # Reckoned as if it drove home first: never sooner than it can be.
        way_min = problem.travel.minutes(rig, day.begun.place, problem.travel.yard_of[rig.id])
        start_min = min(day.end_min, start_min + way_min)
    elif day.begun:
        out = [one.rig.id for one in problem.rig_days if one.begun]
        start = len(problem.rigs) + out.index(rig.id)
    return VehicleType(
        num_available=1,
        capacity=[int(rig.tank_gal or 0) if by_yard else ANY_TANK, *own],
        start_depot=start,
        end_depot=depot,
        tw_early=start_min,
        tw_late=day.end_min,
        profile=profile,
        reload_depots=[depot] if by_yard else [],
    )


def _tables(problem: RouteProblem, day: RigDay) -> tuple[Whole, Whole]:
    """What a way costs, and the minutes from the start of a spray to that of the next."""
    travel, jobs, rig = problem.travel, len(problem.jobs), day.rig
    miles = travel.air_miles if rig.kind == "air" else travel.road_miles
    driven = np.where(np.isinf(miles), 0, miles)
    cost = np.round(UNITS_AN_ACRE * problem.settings.mile_cost_ac * driven).astype(np.int64)
    minutes = travel.all_minutes(rig)
    minutes[:jobs, :] += np.asarray(problem.spray_min[rig.id], dtype=np.int64)[:, None]
    minutes[:, :jobs] += np.asarray(problem.ready_min[rig.id], dtype=np.int64)[None, :]
    mixes = sorted({one.mix_id for one in problem.jobs})
    sort = np.array([mixes.index(one.mix_id) for one in problem.jobs])
    change = np.array([[cleanout_min(rig, old, new) for new in mixes] for old in mixes])
    minutes[:jobs, :jobs] += change[sort[:, None], sort[None, :]]
    for begun in (one.begun for one in problem.rig_days if one.begun):
        first = [cleanout_min(rig, begun.mix_id, one.mix_id) for one in problem.jobs]
        minutes[begun.place, :jobs] += np.array(first, dtype=np.int64)
    if stays_searched(problem):
        cost[:, :jobs] += moved_cost(problem, day, UNITS_AN_ACRE)[None, :]
    np.fill_diagonal(cost, 0)
    np.fill_diagonal(minutes, 0)
    return cost, minutes


def _solution(
    problem: RouteProblem,
    data: "ProblemData",
    classes: dict[str, int],
    clients: _Clients,
    routes: Routes,
) -> "Solution | None":
    """A plan in the form of the search; None where it would not work out there."""
    from pyvrp import Activity, ActivityType, Route, Solution

    built = []
    for place, (day, visits) in enumerate(zip(problem.rig_days, routes, strict=True)):
        timed = timed_day(problem, day, visits)
        depot = data.vehicle_type(place).start_depot
        number = classes[day.rig.id]
        steps: list[Activity] = []
        for stop in timed.stops if timed else ():
            client = clients.place.get((stop.visit.job, stop.visit.window, number))
            if client is None:
                continue
            if stop.by_yard and steps:
                steps.append(Activity(ActivityType.DEPOT, depot))
            steps.append(Activity(ActivityType.CLIENT, client))
        if steps:
            built.append(Route(data, steps, place))
    told = Solution(data, built)
    return told if told.is_feasible() else None


def _routes(problem: RouteProblem, clients: _Clients, found: "Solution") -> Routes:
    """Visits of every rig-day, those that do not work out by the minute left away."""
    routes: list[tuple[Visit, ...]] = [() for _ in problem.rig_days]
    for route in found.routes():
        place = route.vehicle_type()
        kept: tuple[Visit, ...] = ()
        by_yard = False
        for step in route.schedule():
            if step.is_depot():
                by_yard = bool(kept)
                continue
            told = clients.visits[step.idx]
            tried = (*kept, Visit(told.job, told.window, fill_first=by_yard))
            if timed_day(problem, problem.rig_days[place], tried) is not None:
                kept, by_yard = tried, False
        routes[place] = kept
    return tuple(routes)
