"""A seal over all that a plan of rigs follows from, so that the same again moves nothing."""

import hashlib
import json
from collections.abc import Collection
from datetime import datetime

from dispatch.report import MorningReport
from dispatch.routes.called import Since
from dispatch.routes.fleet import Fleet
from dispatch.routes.plan import RoutePlan
from dispatch.routes.problem import RouteProblem, Routes

#: What of a field's call a plan follows from.
CALLED = {"field", "call", "held_for_harvest", "season"}


def basis_of(report: MorningReport, fleet: Fleet, since: Since, settled: Collection[str]) -> str:
    """The seal, as 64 letters.

    Locks are no part of it: one that holds moves nothing. The fields of ``settled``, which are
    done as they were planned, are none either.
    """
    standing = since.standing
    told = {
        "morning": report.run.made_utc.isoformat(),
        "calls": [one.model_dump(mode="json", include=CALLED) for one in report.fields],
        "rigs": [one.model_dump(mode="json") for one in fleet.rigs],
        "mixes": {key: one.model_dump(mode="json") for key, one in fleet.treatments.items()},
        "settings": fleet.settings.model_dump(mode="json"),
        "roads": [
            sorted([*key, str(value)] for key, value in ways.items())
            for ways in (fleet.told_miles, fleet.told_min)
        ],
        "sprayed": sorted({*since.sprayed, *standing.sprayed} - set(settled)),
        "frozen": sorted(since.frozen),
        "skipped": dict(standing.skipped),
        "missed": dict(standing.missed),
        "parts": sorted(set(standing.parts_done) - set(settled)),
        "out": [
            [one.rig_id, _text(one.from_utc), _text(one.until_utc)] for one in standing.outages
        ],
    }
    text = json.dumps(told, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def nothing_changed(problem: RouteProblem, before: RoutePlan, basis: str, kept: Routes) -> bool:
    """Whether a plan before still stands as it is: the same basis, and no stop of it fell out."""
    carried = {problem.jobs[one.job].field_id for visits in kept for one in visits}
    fixed = {stop.field_id for day in problem.fixed for stop in day.stops}
    planned = {stop.field_id for day in before.days for stop in day.stops}
    return before.basis == basis and planned <= carried | fixed


def _text(moment: datetime | None) -> str | None:
    return None if moment is None else moment.isoformat()
