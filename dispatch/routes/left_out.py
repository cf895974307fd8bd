"""Why no rig comes to a field, and what would change it."""

from dataclasses import replace

from dispatch.routes.insertion import best_room, left_jobs
from dispatch.routes.part_names import part_of
from dispatch.routes.plan import LeftOut
from dispatch.routes.problem import FieldJob, RigDay, RouteProblem, Routes, RouteWindow, Visit
from dispatch.routes.timing import gain_ac, timed_day
from dispatch.routes.travel import NEVER_MIN
from dispatch.routes.work import spray_min, tank_holds
from dispatch.words import WEEKDAYS, amount
from farm.rig import Rig

#: How much longer a day is tried with before it is said to help [min].
LONGER_MIN = 120
#: As how many fields one is proposed to be entered at most.
MOST_PARTS = 6


def left_out_fields(problem: RouteProblem, routes: Routes) -> tuple[LeftOut, ...]:
    """Every field that no rig visits, with its sentence."""
    found = []
    for job in left_jobs(problem, routes):
        one = problem.jobs[job]
        why, would_change = _reason(problem, routes, job)
        found.append(
            LeftOut(
                field_id=one.field_id,
                field_name=one.name,
                acres=round(one.acres, 1),
                why=why,
                would_change=would_change,
            )
        )
    return tuple(found)


def _reason(problem: RouteProblem, routes: Routes, job: int) -> tuple[str, str]:
    one, days = problem.jobs[job], problem.rig_days
    if not one.windows:
        return (
            f"no hours to spray it in the next {problem.settings.days} days",
            "other weather, or a later freeze",
        )
    if not days:
        return "no rig works in these days", "a rig with a driver"
    usable = [window for window in one.windows if _fits_a_kind(window, problem)]
    if not usable:
        return (
            "the ground is too wet for a rig on wheels while it may be sprayed",
            "a rig that flies, or a shorter [routes] wet_ground_h",
        )
    if not any(problem.fits_tank(rig, job) for rig in problem.rigs):
        return (
            f"it takes {amount(one.gallons or 0)} gal, more than any tank that is filled in a yard",
            'a nurse truck (refill_at = "field") or a larger tank' + _in_parts(problem, job),
        )
    if all(_no_way(problem, rig, job) for rig in problem.rigs):
        return "no way from any yard leads there", "the miles in [routes] miles"
    quickest_min = min(problem.spray_min[rig.id][job] for rig in problem.rigs)
    widest_min = max(window.close_min - window.open_min for window in usable)
    if widest_min < quickest_min:
        return (
            f"its longest window is {_hours(widest_min)}, the quickest rig needs "
            f"{_hours(quickest_min)}",
            "a quicker rig" + _in_parts(problem, job),
        )
    return _busy(problem, routes, job)


def _in_parts(problem: RouteProblem, job: int) -> str:
    """As how many fields it could be entered, so that a rig can finish each; "" if as none."""
    one = problem.jobs[job]
    if part_of(one.field_id):
        return ""
    for count in range(2, MOST_PARTS + 1):
        gallons = None if one.gallons is None else one.gallons / count
        part = replace(one, acres=one.acres / count, gallons=gallons)
        if any(_finishes(rig, part) for rig in problem.rigs):
            return f", or the field entered as {count} of {amount(part.acres)} ac each"
    return ""


def _finishes(rig: Rig, one: FieldJob) -> bool:
    """Whether a rig can spray a field in one go, with a tank that holds it."""
    taken_min = spray_min(rig, one)
    return tank_holds(rig, one) and any(
        rig.kind in window.kinds and taken_min <= window.close_min - window.open_min
        for window in one.windows
    )


def _busy(problem: RouteProblem, routes: Routes, job: int) -> tuple[str, str]:
    by_day = [(day, _alone_ac(problem, day, job)) for day in problem.rig_days]
    alone = [(day, more_ac) for day, more_ac in by_day if more_ac is not None]
    longer = best_room(problem, routes, job, longer_min=LONGER_MIN)
    if not alone:
        if longer is not None:
            on = WEEKDAYS[problem.rig_days[longer.place].on.weekday()]
            return "no rig can be there and back in its working hours", f"a longer day on {on}"
        return "no rig can be there while it may be sprayed", "a yard or a rig nearer to it"
    most_ac = max(more_ac for _, more_ac in alone)
    if best_room(problem, routes, job) is not None or most_ac <= 0:
        return "the drive costs more than it brings", "a field beside it to spray on the same way"
    days = list(dict.fromkeys(WEEKDAYS[day.on.weekday()] for day, _ in alone))
    help_by = f"one more rig on {' or '.join(days)}"
    if longer is not None:
        help_by += f", or a day {LONGER_MIN // 60} h longer"
    return "every rig is busy where it brings more", help_by


def _fits_a_kind(window: RouteWindow, problem: RouteProblem) -> bool:
    return any(rig.kind in window.kinds for rig in problem.rigs)


def _no_way(problem: RouteProblem, rig: Rig, job: int) -> bool:
    return problem.travel.minutes(rig, problem.travel.yard_of[rig.id], job) >= NEVER_MIN


def _alone_ac(problem: RouteProblem, day: RigDay, job: int) -> float | None:
    """What a rig's day for this field alone would bring; None where it does not work out."""
    windows = range(len(problem.jobs[job].windows))
    timed = (timed_day(problem, day, (Visit(job, window),)) for window in windows)
    return max((gain_ac(problem, one) for one in timed if one), default=None)


def _hours(minutes: int) -> str:
    return f"{amount(minutes / 60)} h"
