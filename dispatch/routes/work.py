"""Minutes a rig spends on a field: getting ready, spraying, filling, cleaning out.

A nurse truck fills the tank in the field, mixed for that field alone: the first tank while the
rig gets ready, the others in between. A rig that fills in its yard drives there for every tank.
"""

import math
from typing import Protocol

from agronomy.capacity import acres_per_hour
from farm.rig import Rig


class Work(Protocol):
    """What of a field decides how long it takes."""

    @property
    def acres(self) -> float:
        """Acres."""

    @property
    def gallons(self) -> float | None:
        """Spray it takes [gal], None where that is not known."""


def rate_acres_per_hour(rig: Rig) -> float:
    """Acres a rig covers in an hour of spraying."""
    return float(acres_per_hour(rig.speed_mph, rig.swath_ft, rig.efficiency_frac))


def fills_in_field(rig: Rig, work: Work) -> int:
    """Tanks filled in the field; 0 for a rig that fills in its yard, or with no tank entered."""
    if rig.refill_at == "yard" or rig.tank_gal is None or work.gallons is None:
        return 0
    return math.ceil(work.gallons / rig.tank_gal - 1e-9)


def ready_min(rig: Rig, work: Work, setup_min: float) -> int:
    """Minutes from coming to the field until spraying can start."""
    first_fill_min = (rig.refill_min or 0.0) if fills_in_field(rig, work) else 0.0
    return math.ceil(setup_min + first_fill_min)


def spray_min(rig: Rig, work: Work) -> int:
    """Minutes from the start of spraying to its end, refills in between included."""
    filling_min = max(0, fills_in_field(rig, work) - 1) * (rig.refill_min or 0.0)
    return math.ceil(60 * work.acres / rate_acres_per_hour(rig) + filling_min - 1e-9)


def tank_holds(rig: Rig, work: Work) -> bool:
    """Whether one tank is enough; always so for a rig that is filled in the field."""
    if rig.refill_at == "field" or rig.tank_gal is None or work.gallons is None:
        return True
    return work.gallons <= rig.tank_gal


def fills_in_yard(rig: Rig) -> bool:
    """Whether the rig drives back for every tank."""
    return rig.refill_at == "yard" and rig.tank_gal is not None


def yard_fill_min(rig: Rig) -> int:
    """Minutes one tank takes in the yard; 0 for a rig that is filled in the field."""
    return math.ceil(rig.refill_min or 0.0) if fills_in_yard(rig) else 0


def cleanout_min(rig: Rig, before: str | None, mix_id: str) -> int:
    """Minutes of cleaning out between two mixes; ``before`` is None for a clean tank."""
    if before is None or before == mix_id or (before, mix_id) in rig.no_cleanout:
        return 0
    return math.ceil(rig.cleanout_min)
