"""A plan of rigs held against what the morning said of each field, hour by hour.

The planner's windows have no part in it: it reads the calls and the kept hours alone.
"""

import math
from collections.abc import Collection, Iterator
from datetime import timedelta

from dispatch.report import Call, FieldCall, MorningReport
from dispatch.routes.part_names import field_of
from dispatch.routes.plan import RoutePlan, Stop


def check_sky(
    report: MorningReport, plan: RoutePlan, wheels: Collection[str] = (), wet_ground_h: float = 0
) -> list[str]:
    """Sentences, one for each stop that the morning does not bear out.

    Parameters
    ----------
    report
        The morning's calls.
    plan
        The plan made from them.
    wheels
        Ids of the rigs that wet ground keeps out.
    wet_ground_h
        For how long it does [h].
    """
    calls = {one.field.id: one for one in report.fields}
    found: list[str] = []
    for day in plan.days:
        for stop in (one for one in day.stops if one.state == "planned"):
            call = calls.get(field_of(stop.field_id))
            if call is None:
                found.append(f"{stop.field_id}: it is not in the morning")
                continue
            words = [*_against(call, stop)]
            if day.rig_id in wheels and _soaked(call, stop, wet_ground_h):
                words.append(f"{day.rig_id} is on wheels and the ground is wet")
            if words:
                found.append(f"{stop.field_id}: {'; '.join(words)}")
    return found


def _against(call: FieldCall, stop: Stop) -> Iterator[str]:
    if call.call not in (Call.SPRAY, Call.SHORT) or call.standing != "open":
        yield f"its call is {call.call.value}"
        return
    if call.held_for_harvest:
        yield "the harvest has no room for it"
    season = call.season
    if season is None:
        yield "its hours are not known"
        return
    from_h = (stop.start_utc - season.start_utc).total_seconds() / 3600
    to_h = (stop.end_utc - season.start_utc).total_seconds() / 3600
    first, last = math.floor(from_h), math.ceil(to_h)
    if first < 0 or last > len(season.workable):
        yield "its spray lies outside the hours the morning told of"
        return
    sprayed = range(first, last)
    if any(season.workable[hour] != "y" for hour in sprayed):
        yield "part of its spray falls in hours not known to be workable"
    if season.spray[first] not in ("full", "partial"):
        yield "it starts in an hour that is none to spray in"
    effect_pct = season.effect_pct[first]
    if effect_pct is None or stop.effect_pct > effect_pct + 1e-9:
        yield "its effect is more than the morning promised"
    if stop.full and not _seen_through(season.dry, season.free, first, last):
        yield "the dry hours or the nights without a freeze are not seen from its end"


def _seen_through(dry: str, free: str, first: int, last: int) -> bool:
    """Whether both are seen from every hour touched, and from the full hour after the end."""
    hours = slice(first, last + 1)
    whole = last + 1 - first
    return dry[hours] == "y" * whole and free[hours] == "y" * whole


def _soaked(call: FieldCall, stop: Stop, wet_ground_h: float) -> bool:
    """Whether rain, or a chance of it that is not known, came too shortly before any of it."""
    season = call.season
    if season is None:
        return False
    for hour, chance in enumerate(season.rain_chance_pct):
        if chance is not None and chance < season.rain_chance_max_pct:
            continue
        starts = season.start_utc + timedelta(hours=hour)
        until = starts + timedelta(hours=1 + wet_ground_h)
        if wet_ground_h > 0 and stop.start_utc < until and stop.end_utc > starts:
            return True
    return False
