"""Reports typed while a plan of rigs is driven: the rig, the time, and the record of them."""

import re
from collections.abc import Sequence
from datetime import datetime, time
from difflib import get_close_matches
from typing import TYPE_CHECKING
from uuid import uuid4

from farm.route_note import NoteKind, RouteNote
from scheduler.clock import ClockError, local_moment
from scheduler.data_error import DataError

if TYPE_CHECKING:
    from dispatch.routes.plan import Stop
    from farm.rig import Rig
    from scheduler.opening import OpenFarm

#: Longest reason that is kept, in letters.
LONGEST_WHY = 200


def find_rig(text: str, rigs: "Sequence[Rig]") -> "Rig":
    """The rig with an id or a name; letters' case is no matter. DataError where there is none."""
    asked = text.strip().casefold()
    for rig in rigs:
        if asked in (rig.id.casefold(), rig.name.casefold()):
            return rig
    known = [one.id for one in rigs]
    close = get_close_matches(asked, known, n=1)
    hint = f'did you mean "{close[0]}"?' if close else f"wanted {', '.join(known)}"
    raise DataError([f'rig: got "{text}", which the config does not have; {hint}'])


def planned_rig(farm: "OpenFarm", field_id: str) -> str | None:
    """The rig that the plan kept last sends to a field, if the config still has it."""
    plan = farm.stores.route_plans.latest()
    planned = [
        day.rig_id
        for day in (plan.days if plan else ())
        for stop in day.stops
        if stop.field_id == field_id
    ]
    known = {one.id for one in farm.config.settings.rigs}
    return next((one for one in planned if one in known), None)


def planned_parts(farm: "OpenFarm", field_id: str) -> "tuple[Stop, ...]":
    """The stops at parts of a field in the plan kept last, in the order of their numbers."""
    plan = farm.stores.route_plans.latest()
    stops = [stop for day in (plan.days if plan else ()) for stop in day.stops]
    found = [one for one in stops if one.field_id == field_id and one.part]
    return tuple(sorted(found, key=lambda one: one.part or 0))


def typed_time(option: str, text: str | None, farm: "OpenFarm") -> datetime:
    """A time of day, today's, or a date and a time, as UTC; now if None.

    Raises
    ------
    DataError
        It is neither.
    """
    if text is None:
        return farm.now
    if found := re.fullmatch(r"([01]?\d|2[0-3]):([0-5]\d)", text.strip()):
        at = time(int(found[1]), int(found[2]))
        return local_moment(f"{farm.today.isoformat()}T{at.isoformat()}", farm.zone)
    try:
        return local_moment(text, farm.zone)
    except ClockError as fault:
        raise DataError([f"{option}: {fault}, or a time of today such as 12:30"]) from None


def keep_note(farm: "OpenFarm", kind: NoteKind, why: str = "", **told: object) -> RouteNote:
    """Make a report of now and keep it.

    Raises
    ------
    DataError
        The reason is too long.
    """
    if len(why) > LONGEST_WHY:
        raise DataError([f"why: got {len(why)} letters, wanted at most {LONGEST_WHY}; shorten it"])
    note = RouteNote.model_validate(
        {"uuid": uuid4(), "kind": kind, "noted_utc": farm.now, "why": why, **told}
    )
    farm.stores.route_notes.add(note, farm.now)
    return note
