"""A plan as lines and points of a map (RFC 7946, 2016: longitude first, WGS 84)."""

from collections.abc import Iterator, Mapping
from typing import Any

from dispatch.routes.plan import PlannedDay, RoutePlan, Stop
from dispatch.routes.travel import Place

#: Decimals of a coordinate; six are about 4 inches.
DECIMALS = 6


def plan_geojson(
    plan: RoutePlan, gates: Mapping[str, Place], yards: Mapping[str, Place]
) -> dict[str, Any]:
    """One line for each rig's day, straight from stop to stop, and a point for each stop.

    Parameters
    ----------
    plan
        The plan.
    gates
        Latitude and longitude rigs come to, by id of the field.
    yards
        The same of the yards, by id of the rig; one without begins and ends at its stops.
    """
    features = [
        feature
        for one in plan.days
        for feature in (_line(one, gates, yards.get(one.rig_id)), *_points(one, gates))
    ]
    return {"type": "FeatureCollection", "features": features}


def _line(one: PlannedDay, gates: Mapping[str, Place], yard: Place | None) -> dict[str, Any]:
    way = [] if yard is None else [yard]
    for number, stop in enumerate(one.stops):
        if stop.by_yard and yard is not None and number:
            way.append(yard)
        if stop.field_id in gates:
            way.append(gates[stop.field_id])
    way += [] if yard is None else [yard]
    told = {
        "kind": "rig_day",
        "rig_id": one.rig_id,
        "rig": one.rig_name,
        "driver": one.driver,
        "day": one.on.isoformat(),
        "leave_utc": one.leave_utc.isoformat(),
        "back_utc": one.back_utc.isoformat(),
        "miles": one.miles,
        "acres": one.acres,
        "stops": len(one.stops),
    }
    # A line has at least two places; a day of one stop and no yard is told without one.
    line = {"type": "LineString", "coordinates": [_position(place) for place in way]}
    return {"type": "Feature", "geometry": line if len(way) > 1 else None, "properties": told}


def _points(one: PlannedDay, gates: Mapping[str, Place]) -> Iterator[dict[str, Any]]:
    for number, stop in enumerate(one.stops, 1):
        place = gates.get(stop.field_id)
        point = None if place is None else {"type": "Point", "coordinates": _position(place)}
        yield {"type": "Feature", "geometry": point, "properties": _told(one, number, stop)}


def _told(one: PlannedDay, number: int, stop: Stop) -> dict[str, Any]:
    return {
        "kind": "stop",
        "rig_id": one.rig_id,
        "rig": one.rig_name,
        "day": one.on.isoformat(),
        "stop": number,
        "field_id": stop.field_id,
        "field": stop.field_name,
        "part": stop.part,
        "parts": stop.parts,
        "acres": stop.acres,
        "arrive_utc": stop.arrive_utc.isoformat(),
        "start_utc": stop.start_utc.isoformat(),
        "end_utc": stop.end_utc.isoformat(),
        "miles": stop.miles,
        "effect_pct": stop.effect_pct,
        "full_window": stop.full,
        "lacks": stop.lacks,
    }


def _position(place: Place) -> list[float]:
    return [round(place[1], DECIMALS), round(place[0], DECIMALS)]
