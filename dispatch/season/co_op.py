"""The invented co-op: its fields, mixes, rigs, rules and climate."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from agronomy.thresholds import MaturityRules, SprayGates
from dispatch.field_rules import FieldRules
from dispatch.policy import Climate, DispatchPolicy
from dispatch.season import assumptions as assumed
from dispatch.season import climate_table
from dispatch.season import weather_constants as fitted
from farm.field import Field
from farm.rig import Rig
from farm.treatment import Treatment

Floats = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]

GATES = SprayGates(wind_max_mph=assumed.WIND_MAX_MPH, gust_max_mph=assumed.GUST_MAX_MPH)
MATURITY = MaturityRules()
POLICY = DispatchPolicy(usable_share_frac=assumed.USABLE_SHARE)
ZONE = "America/Chicago"

MIXES = tuple(
    Treatment(id=f"mix{at}", name=f"Mix {at + 1}", rain_free_h=hours)
    for at, hours in enumerate(assumed.RAIN_FREE_H)
)


@dataclass(frozen=True)
class Kind:
    """What the sky sees of a field: fields of one kind in one season share all but acres."""

    zone: int
    cold: int
    mix: int


KINDS = tuple(
    Kind(zone, cold, mix)
    for zone in range(assumed.RAIN_ZONES)
    for cold in range(len(assumed.COLD_SPOTS_F))
    for mix in range(len(MIXES))
)


@dataclass(frozen=True, eq=False)
class CoOp:
    """Fields of one season: ``kind`` (fields,) is a place in `KINDS`, ``mature_day`` the day of
    year on which the field would be mature in a normal season."""

    registered: tuple[Field, ...]
    kind: Whole
    acres: Floats
    mature_day: Floats
    rigs: tuple[Rig, ...]


def climate() -> Climate:
    """What the user of such a place would enter: normals and freezes of its simulated years."""
    return Climate(
        first_freeze_day=climate_table.FIRST_FREEZE_DAY[0],
        first_freeze_sd_days=climate_table.FIRST_FREEZE_DAY[1],
        killing_freeze_day=climate_table.KILLING_FREEZE_DAY[0],
        killing_freeze_sd_days=climate_table.KILLING_FREEZE_DAY[1],
        normal_high_f=fitted.NORMAL_HIGH_F,
        normal_low_f=fitted.NORMAL_LOW_F,
        temp_sd_f=climate_table.TEMP_SD_F,
        wet_day_pct=climate_table.WET_DAY_PCT,
    )


def rules_of_mixes() -> tuple[FieldRules, ...]:
    """Rules of the fields sprayed with each mix."""
    here = climate()
    return tuple(FieldRules(GATES, MATURITY, one, here) for one in MIXES)


def field_of(identity: str, kind: Kind, acres: float) -> Field:
    """A field of a kind."""
    return Field(
        id=identity,
        name=identity,
        grower_id="grower",
        latitude=assumed.LATITUDE,
        longitude=assumed.LONGITUDE,
        acres=acres,
        time_zone=ZONE,
        treatment_id=MIXES[kind.mix].id,
        cold_spot_f=assumed.COLD_SPOTS_F[kind.cold],
    )


def draw_co_op(seed: int, season: int, fields: int) -> CoOp:
    """The fields of one season."""
    rng = np.random.default_rng([seed, season, 1])
    acres = rng.triangular(*assumed.FIELD_ACRES, fields).round(1)
    zone = rng.integers(0, assumed.RAIN_ZONES, fields)
    cold = rng.choice(len(assumed.COLD_SPOTS_F), fields, p=assumed.COLD_SPOT_SHARES)
    mix = rng.integers(0, len(MIXES), fields)
    mature_day = rng.uniform(*assumed.MATURE_DAYS, fields)
    kind = (zone * len(assumed.COLD_SPOTS_F) + cold) * len(MIXES) + mix
    registered = tuple(
        field_of(f"s{season}-f{at:03d}", KINDS[of], float(acres[at])) for at, of in enumerate(kind)
    )
    rigs = max(1, round(fields / assumed.FIELDS_PER_RIG))
    return CoOp(registered, kind, acres, mature_day, tuple(_rig(one) for one in range(rigs)))


def _rig(number: int) -> Rig:
    return Rig(
        id=f"rig{number}",
        name=f"Rig {number + 1}",
        speed_mph=assumed.RIG_SPEED_MPH,
        swath_ft=assumed.RIG_SWATH_FT,
    )
