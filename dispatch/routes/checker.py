"""Every rule a plan of rigs must keep, checked again from the farm's own figures.

It shares no reckoning with the planner: distances are worked out anew on a sphere, times are
compared as times. A plan that fails is not shown to anybody.
"""

import math
from collections import Counter
from collections.abc import Iterator
from datetime import datetime, timedelta

from dispatch.routes.plan import PlannedDay, RoutePlan, Stop
from dispatch.routes.problem import FieldJob, RigDay, RouteProblem

#: Mean radius of the earth [miles]. IUGG, 6371.0088 km.
EARTH_MI = 3958.7613
#: How far a sphere may be from the ellipsoid, as a share. From memory: at most 0.56 %.
SPHERE_FRAC = 0.006
#: Acres and gallons that rounding may move.
ROUNDING = 0.06


def check_plan(problem: RouteProblem, plan: RoutePlan) -> list[str]:
    """Sentences, one for each rule that is broken; none for a plan that may be shown."""
    return [
        *_visits(problem, plan),
        *_crews(problem, plan),
        *(word for day in plan.days for word in _day(problem, day)),
        *_totals(plan),
    ]


def _visits(problem: RouteProblem, plan: RoutePlan) -> Iterator[str]:
    known = {one.field_id for one in problem.jobs}
    visited = Counter(stop.field_id for day in plan.days for stop in day.stops)
    fixed = {stop.field_id for day in problem.fixed for stop in day.stops}
    for field_id, times in visited.items():
        if field_id not in known | fixed:
            yield f"{field_id}: planned, but it is not a field to spray"
        if times > 1:
            yield f"{field_id}: planned {times} times"
    left = Counter(one.field_id for one in plan.left_out)
    for field_id in known:
        if not visited[field_id] and not left[field_id]:
            yield f"{field_id}: neither planned nor told to be left out"
    for field_id, times in left.items():
        if visited[field_id] or times > 1:
            yield f"{field_id}: told to be left out, and planned or told so twice"


def _crews(problem: RouteProblem, plan: RoutePlan) -> Iterator[str]:
    given = {(one.rig.id, one.on): one for one in problem.rig_days}
    rigs = Counter((one.rig_id, one.on) for one in plan.days)
    for (rig_id, on), times in rigs.items():
        anew = any(_anew(one) for one in plan.days if (one.rig_id, one.on) == (rig_id, on))
        if anew and (rig_id, on) not in given:
            yield f"{rig_id} on {on}: it does not work that day"
        if times > 1:
            yield f"{rig_id} on {on}: it is sent out {times} times"
    drivers = Counter((one.driver, one.on) for one in plan.days if one.driver)
    for (driver, on), times in drivers.items():
        if times > 1:
            yield f"{driver} on {on}: drives {times} rigs at once"
    for one in plan.days:
        day = given.get((one.rig_id, one.on))
        if day and _anew(one) and day.rig.drivers and one.driver not in day.rig.drivers:
            yield f"{one.rig_id} on {one.on}: {one.driver or 'nobody'} may not drive it"


def _day(problem: RouteProblem, planned: PlannedDay) -> Iterator[str]:
    found = [
        one for one in problem.rig_days if (one.rig.id, one.on) == (planned.rig_id, planned.on)
    ]
    jobs = {one.field_id: one for one in problem.jobs}
    stops = [stop for stop in _anew(planned) if stop.field_id in jobs]
    if not found or not stops:
        return
    day = found[0]
    where = f"{planned.rig_id} on {planned.on}"
    yield from _hours(problem, day, planned, where)
    yield from _legs(problem, day, planned, stops, jobs)
    yield from _tank(day, stops, jobs)
    for stop in stops:
        yield from _spray(problem, day, stop, jobs[stop.field_id])


def _anew(planned: PlannedDay) -> list[Stop]:
    """The stops of a day that are not done or under way already."""
    return [one for one in planned.stops if one.state == "planned"]


def _out_since(problem: RouteProblem, day: RigDay, planned: PlannedDay) -> datetime:
    """When a rig may set out, or is done with what it does already."""
    starts = problem.start_utc + timedelta(minutes=max(0, day.start_min))
    ends = [one.end_utc for one in planned.stops if one.state == "under_way"]
    if day.begun:
        return max(problem.start_utc, *ends) if ends else problem.start_utc
    if len(planned.stops) > len(_anew(planned)):
        return starts
    return planned.leave_utc


def _hours(problem: RouteProblem, day: RigDay, planned: PlannedDay, where: str) -> Iterator[str]:
    starts = problem.start_utc + timedelta(minutes=day.start_min)
    ends = problem.start_utc + timedelta(minutes=day.end_min)
    if day.rig.refill_at == "yard" and day.rig.tank_gal is not None:
        starts += timedelta(minutes=day.rig.refill_min or 0)
    fresh = len(_anew(planned)) == len(planned.stops)
    if fresh and planned.leave_utc < max(starts, problem.start_utc):
        yield f"{where}: leaves before its day starts and its tank is full"
    if planned.back_utc > ends:
        yield f"{where}: comes back after its day ends"


def _legs(
    problem: RouteProblem,
    day: RigDay,
    planned: PlannedDay,
    stops: list[Stop],
    jobs: dict[str, FieldJob],
) -> Iterator[str]:
    """The way from field to field: long enough for its miles, its fill and its cleanout."""
    rig = day.rig
    yard = problem.travel.yard_of[rig.id]
    place_of = {one.field_id: place for place, one in enumerate(problem.jobs)}
    free, here, mix_id = _out_since(problem, day, planned), yard, None
    if day.begun:
        here, mix_id = day.begun.place, day.begun.mix_id
    out = bool(day.begun)
    for stop in stops:
        one, there = jobs[stop.field_id], place_of[stop.field_id]
        via = stop.by_yard and out
        ways = [(here, yard), (yard, there)] if via else [(here, there)]
        took_min = sum(_way_min(problem, day, *way) for way in ways)
        took_min += (rig.refill_min or 0) if via else 0
        if mix_id not in (None, one.mix_id) and (mix_id, one.mix_id) not in rig.no_cleanout:
            took_min += rig.cleanout_min
        if stop.arrive_utc < free + _at_least(took_min):
            yield f"{stop.field_id}: reached sooner than its way and its work allow"
        free, here, mix_id, out = stop.end_utc, there, one.mix_id, True
    home_min = _way_min(problem, day, here, yard)
    if planned.back_utc < free + _at_least(home_min):
        yield f"{rig.id} on {planned.on}: is home sooner than its way allows"


def _at_least(minutes: float) -> timedelta:
    return timedelta(minutes=minutes * (1 - SPHERE_FRAC) - 1e-6)


def _way_min(problem: RouteProblem, day: RigDay, here: int, there: int) -> float:
    """Least minutes between two places by the way of the rig."""
    travel = problem.travel
    least_min = travel.told_min.get((here, there), 0.0) if day.rig.kind == "ground" else 0.0
    return max(60 * _miles(problem, day, here, there) / day.rig.travel_mph, least_min)


def _miles(problem: RouteProblem, day: RigDay, here: int, there: int) -> float:
    """Miles between two places by the way of the rig."""
    travel = problem.travel
    told = travel.told_miles.get((here, there)) if day.rig.kind == "ground" else None
    if told is not None:
        return told
    (north, east), (north_2, east_2) = travel.places[here], travel.places[there]
    half = (math.radians(north_2 - north) / 2, math.radians(east_2 - east) / 2)
    chord = math.sin(half[0]) ** 2 + math.sin(half[1]) ** 2 * math.cos(
        math.radians(north)
    ) * math.cos(math.radians(north_2))
    straight = 2 * EARTH_MI * math.asin(math.sqrt(chord))
    return straight * (1 if day.rig.kind == "air" else problem.settings.road_factor)


def _tank(day: RigDay, stops: list[Stop], jobs: dict[str, FieldJob]) -> Iterator[str]:
    rig = day.rig
    if rig.tank_gal is None:
        return
    left_gal = day.begun.left_gal if day.begun else 0.0
    mix_id = day.begun.mix_id if day.begun else ""
    for stop in stops:
        one = jobs[stop.field_id]
        if rig.refill_at == "field":
            left_gal = stop.fills * rig.tank_gal
        elif stop.by_yard:
            left_gal = rig.tank_gal
        elif mix_id != one.mix_id:
            yield f"{stop.field_id}: sprayed with what was left of another mix"
        left_gal -= one.gallons or 0.0
        mix_id = one.mix_id
        if left_gal < -ROUNDING:
            yield f"{stop.field_id}: takes more than the tank of {rig.id} was filled with"


def _spray(problem: RouteProblem, day: RigDay, stop: Stop, one: FieldJob) -> Iterator[str]:
    """The spray itself: long enough for its acres, ready before it, inside one window."""
    rig = day.rig
    rate_acres_h = rig.speed_mph * rig.swath_ft * rig.efficiency_frac * 5280 / 43560
    refill_min = (rig.refill_min or 0.0) if rig.refill_at == "field" else 0.0
    fills = stop.fills if rig.refill_at == "field" else 0
    needed_min = 60 * one.acres / rate_acres_h + max(0, fills - 1) * refill_min
    if stop.end_utc - stop.start_utc < timedelta(minutes=needed_min - 1e-6):
        yield f"{stop.field_id}: sprayed faster than {rig.id} can"
    before_min = problem.settings.setup_min + (refill_min if fills else 0)
    if stop.start_utc - stop.arrive_utc < timedelta(minutes=before_min - 1e-6):
        yield f"{stop.field_id}: sprayed before the rig is ready"
    if abs(stop.acres - one.acres) > 1e-9 or stop.mix_id != one.mix_id:
        yield f"{stop.field_id}: not all its acres, or not its mix"
    if not any(_inside(problem, day, stop, one, place) for place in range(len(one.windows))):
        yield f"{stop.field_id}: not wholly inside a window with that effect"


def _inside(problem: RouteProblem, day: RigDay, stop: Stop, one: FieldJob, place: int) -> bool:
    told = one.windows[place]

    def at(minute: int) -> datetime:
        return problem.start_utc + timedelta(minutes=minute)

    return (
        at(told.open_min) <= stop.start_utc <= at(told.last_start_min)
        and stop.end_utc <= at(told.close_min) == stop.by_utc
        and day.rig.kind in told.kinds
        and told.rig_id in (None, day.rig.id)
        and stop.full == told.full
        and abs(stop.effect_pct - told.effect_pct) < 1e-9
        and abs(stop.worth_ac - one.acres * told.effect_pct / 100) < ROUNDING
    )


def _totals(plan: RoutePlan) -> Iterator[str]:
    stops = [stop for day in plan.days for stop in day.stops]
    sums = {
        "fields": (plan.fields, float(len(stops))),
        "acres": (plan.acres, sum(one.acres for one in stops)),
        "acres_full": (plan.acres_full, sum(one.acres for one in stops if one.full)),
        "worth_ac": (plan.worth_ac, sum(one.worth_ac for one in stops)),
        "miles": (plan.miles, sum(one.miles for one in plan.days)),
    }
    for name, (told, found) in sums.items():
        if abs(told - found) > ROUNDING * max(1, len(stops)):
            yield f"totals: {name} says {told:g}, its stops make {found:g}"
    for day in plan.days:
        if abs(day.acres - sum(one.acres for one in day.stops)) > ROUNDING * len(day.stops):
            yield f"totals: acres of {day.rig_id} on {day.on} are not those of its stops"
        if day.miles < sum(one.miles for one in day.stops) - ROUNDING * (1 + len(day.stops)):
            yield f"totals: miles of {day.rig_id} on {day.on} are fewer than those to its stops"
