"""Roads between the fields called and the yards: the user's own miles, then those of a table."""

import math
from dataclasses import replace
from importlib.metadata import version
from typing import TYPE_CHECKING

from dispatch.report import Call
from dispatch.routes.fleet import Fleet
from dispatch.routes.rig_plan import yard_of
from dispatch.routes.travel import Place
from dispatch.words import plural
from scheduler.road_miles import Ways
from scheduler.road_table import RoadTable, ask_road_table, host_of

if TYPE_CHECKING:
    from dispatch.report import MorningReport


def with_roads(fleet: Fleet, report: "MorningReport") -> Fleet:
    """The same rigs with the roads a table tells, if one is set; the user's own miles win."""
    settings = fleet.settings
    places = _places(fleet, report)
    if settings.table_address is None or len(set(places.values())) < 2:
        return fleet
    # Rigs often share a yard, so each place is asked for once.
    once = list(dict.fromkeys(places.values()))
    found = ask_road_table(
        settings.table_address,
        once,
        settings.table_places,
        settings.table_wait_s,
        f"warmspell/{version('warmspell')}",
    )
    miles, minutes = _named(places, once, found)
    own = fleet.told_miles
    return replace(
        fleet,
        told_miles={**miles, **own},
        told_min={way: told for way, told in minutes.items() if way not in own},
        notes=(*fleet.notes, _note(fleet, found)),
    )


def _places(fleet: Fleet, report: "MorningReport") -> dict[str, Place]:
    """Gates and yards by the names that a plan knows them by."""
    fields = [one.field for one in report.with_call(Call.SPRAY, Call.SHORT)]
    yards = {f"yard:{rig.id}": yard_of(rig) for rig in fleet.rigs if rig.kind == "ground"}
    return {one.id: one.entry for one in fields} | {
        name: place for name, place in yards.items() if place is not None
    }


def _named(places: dict[str, Place], once: list[Place], found: RoadTable) -> tuple[Ways, Ways]:
    row_of = {place: row for row, place in enumerate(once)}
    rows = {name: row_of[place] for name, place in places.items()}
    told_miles, told_min = found.miles.tolist(), found.minutes.tolist()
    miles: Ways = {}
    minutes: Ways = {}
    for start, row in rows.items():
        for end, column in rows.items():
            if row == column or math.isnan(told_miles[row][column]):
                continue
            miles[start, end] = told_miles[row][column]
            if not math.isnan(told_min[row][column]):
                minutes[start, end] = told_min[row][column]
    return miles, minutes


def _note(fleet: Fleet, found: RoadTable) -> str:
    """Where the miles come from, in one sentence."""
    settings = fleet.settings
    table = f"The road table at {host_of(settings.table_address or '')}"
    reckoned = f"as the crow flies x {settings.road_factor:g}"
    count = len(found.miles)
    ways = count * (count - 1)
    untold = sum(map(math.isnan, found.miles.ravel())) - sum(
        map(math.isnan, found.miles.diagonal())
    )
    why = f" ({found.why_not})" if found.why_not else ""
    if untold == 0:
        return f"{table} tells all {plural(ways, 'way')}; a rig drives no faster than its own speed"
    if untold == ways:
        return f"{table} tells no way{why}: all miles are {reckoned}"
    return (
        f"{table} tells {ways - untold} of {plural(ways, 'way')}{why}: the miles of the others are "
        f"{reckoned}"
    )
