"""A plan of rigs in words: titles, rows to read, and what it adds up to."""

from collections.abc import Sequence

from dispatch.routes.changes import change_words
from dispatch.routes.plan import PlannedDay, RoutePlan, Stop
from dispatch.routes.what_if import WhatIf
from dispatch.words import LocalClock, amount, day, plural

STOP_HEADERS = ("", "field", "come", "spray", "to", "acres", "effect", "miles", "tanks", "")
LEFT_HEADERS = ("not covered", "acres", "why", "what would change it")
CHANGE_HEADERS = ("changed", "how", "why")
IF_HEADERS = ("rigs", "day", "acres in full windows", "acres", "fields", "not covered")


def day_title(one: PlannedDay, clock: LocalClock) -> str:
    """What stands over a rig's day."""
    driver = f", {one.driver} drives" if one.driver else ""
    tanks = sum(stop.fills for stop in one.stops)
    return (
        f"{day(one.on)}, {one.rig_name}{driver}: out {clock.hour(one.leave_utc)}, back "
        f"{clock.hour(one.back_utc)}; {plural(len(one.stops), 'field')}, {amount(one.acres)} ac, "
        f"{amount(one.miles)} mi" + (f", {plural(tanks, 'tank')}" if tanks else "")
    )


def stop_rows(one: PlannedDay, clock: LocalClock) -> list[tuple[str, ...]]:
    """A rig's day as rows under `STOP_HEADERS`."""
    return [
        (
            str(number),
            stop.field_name,
            clock.hour(stop.arrive_utc),
            clock.hour(stop.start_utc),
            clock.hour(stop.end_utc),
            amount(stop.acres),
            f"{stop.effect_pct:.0f}",
            amount(stop.miles),
            str(stop.fills) if stop.fills else "",
            stop_remarks(stop),
        )
        for number, stop in enumerate(one.stops, 1)
    ]


def stop_remarks(stop: Stop) -> str:
    """What to mind of a stop beside its times, "" where there is nothing."""
    told = [
        {"planned": "", "under_way": "under way", "done": "done"}[stop.state],
        "locked" if stop.locked else "",
        "" if stop.full else f"SHORT: {stop.lacks}" if stop.lacks else "SHORT",
        "fill at the yard" if stop.by_yard else "",
        f"clean out {stop.cleanout_min} min" if stop.cleanout_min else "",
    ]
    return "; ".join(one for one in told if one)


def change_rows(plan: RoutePlan, clock: LocalClock) -> list[tuple[str, ...]]:
    """What the plan does otherwise than the one before, under `CHANGE_HEADERS`."""
    return [(one.field_name, *change_words(one, clock)) for one in plan.changes]


def left_rows(plan: RoutePlan) -> list[tuple[str, ...]]:
    """The fields no rig comes to, under `LEFT_HEADERS`."""
    return [(one.field_name, amount(one.acres), one.why, one.would_change) for one in plan.left_out]


def what_if_rows(rows: Sequence[WhatIf]) -> list[tuple[str, ...]]:
    """The comparison under `IF_HEADERS`."""
    return [
        (
            str(one.rigs),
            "as entered" if one.hours_h is None else f"{amount(one.hours_h)} h",
            f"{one.acres_full:.0f}",
            f"{one.acres:.0f}",
            str(one.fields),
            str(one.left_out),
        )
        for one in rows
    ]


def totals(plan: RoutePlan) -> str:
    """The plan in one sentence."""
    left_ac = sum(one.acres for one in plan.left_out)
    return (
        f"{plural(plan.fields, 'field')}, {plan.acres:.0f} ac, {plan.acres_full:.0f} of them in "
        f"full windows, worth {plan.worth_ac:.0f} ac at full effect; {plan.miles:.0f} mi; not "
        f"covered {plural(len(plan.left_out), 'field')}, {left_ac:.0f} ac."
    )
