"""Every row of the table of worked checks, as far as the table goes.

The table is not part of the project: worked_checks.csv is read below the folder named by
RECORDED_ANSWERS. A row names a function, its inputs, what is printed (P) or worked from a printed
formula (C), and how near is near enough; a row of a function that nobody knows here fails.
"""

import csv
import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from agronomy.capacity import acres_per_hour, cycle_acres_per_hour
from agronomy.given_up import micronaire_band
from agronomy.heat_units import (
    clipped_heat_units,
    daily_heat_units,
    double_sine_heat_units,
    double_triangle_heat_units,
    hourly_heat_units,
    single_sine_heat_units,
    single_triangle_heat_units,
)
from agronomy.ingredients import longest_of_mix, rain_free_hours_of
from agronomy.maturity_loss import boll_size_loss_pct, micronaire_loss_pct
from agronomy.moist_air import SEA_LEVEL_HPA, delta_t_f, saturation_pressure_hpa, wet_bulb_f
from agronomy.thresholds import SprayGates

FILE = "worked_checks.csv"

#: Stull 2011 is a fit at sea level, printed as good to -1.0 and +0.65 C; ours solves the
#: psychrometric equations at the pressure of the place, so it may differ by as much [C].
STULL_FIT_C = 1.0

#: FAO-56 prints a shorter formula of saturation than ASHRAE's; they differ by 0.1 % [share].
SHORTER_FORMULA_FRAC = 1e-3


#: Frost advisories speak of 33 to 36 F [F]. US Weather Service (S27).
FROST_ADVISORY_F = 36.0


def _clipped(told):
    return clipped_heat_units(told["tmax"], told["tmin"], told["low"], told.get("high"))


def _single(method):
    return lambda told: method(told["tmax"], told["tmin"], told["low"], told.get("high"))


def _double(method):
    return lambda told: method(
        told["tmax"], told["tmin"], told["next_tmin"], told["low"], told.get("high")
    )


def _week(told):
    return float(sum(daily_heat_units(high, low) for high, low in told["days_max_min"]))


def _celsius_days(told):
    """Heat of degree Celsius above a base as F days: warm the same days by it, above base 60."""
    return daily_heat_units(60 + told["dd_c"] * 1.8, 60 + told["dd_c"] * 1.8)


def _cycle(told):
    """Acres an hour with a share of all time stood still: a refill that takes just that share."""
    share, tank_ac = told["stationary_share"], 80.0
    driving = acres_per_hour(told["mph"], told["ft"], 1 - told["turn_share_of_driving"])
    refill_min = 60 * tank_ac / driving * share / (1 - share)
    return cycle_acres_per_hour(
        told["mph"], told["ft"], told["turn_share_of_driving"], 10 * tank_ac, 10, refill_min
    )


def _freeze_class(told):
    """Named by the defaults of the gates: a killing freeze is the Weather Service's hard one."""
    gates = SprayGates()
    if gates.freeze_f < told["tmin_f"] <= FROST_ADVISORY_F:
        pytest.skip("a frost that is no freeze has no gate here")
    if told["tmin_f"] <= gates.killing_f:
        return "hard_freeze"
    return "freeze" if told["tmin_f"] <= gates.freeze_f else "none"


def _micronaire(told):
    return micronaire_band(told["mic"])


#: What answers each function of the table.
OURS: dict[str, Callable[[dict[str, Any]], Any]] = {
    "dd_simple_mean": lambda told: daily_heat_units(told["tmax"], told["tmin"], told["low"]),
    "dd60_simple": lambda told: daily_heat_units(told["tmax_f"], told["tmin_f"]),
    "dd60_sum_simple": _week,
    "dd_clip_first": _clipped,
    "dd_clip_first_cap86": _clipped,
    "dd_single_sine": _single(single_sine_heat_units),
    "dd_single_triangle": _single(single_triangle_heat_units),
    "dd_double_sine": _double(double_sine_heat_units),
    "dd_double_triangle": _double(double_triangle_heat_units),
    "dd_hourly": lambda told: hourly_heat_units(told["hours_f"], told["low"]),
    "dd_c_to_f": _celsius_days,
    "kerby_boll_size_loss_pct": lambda told: boll_size_loss_pct(told["nacb"]),
    "kerby_micronaire_loss_pct": lambda told: micronaire_loss_pct(told["nacb"]),
    "micronaire_band": _micronaire,
    "rain_free_hours": lambda told: rain_free_hours_of(told["ai"]).hours,
    "rei_mix_hours": lambda told: longest_of_mix(told["rei"]),
    "field_capacity_ac_h": lambda told: acres_per_hour(told["mph"], told["ft"], told["eff"]),
    "cycle_ac_h": _cycle,
    "wet_bulb_stull_c": lambda told: (
        (wet_bulb_f(told["t_c"] * 1.8 + 32, told["rh"], SEA_LEVEL_HPA) - 32) / 1.8
    ),
    "delta_t_c": lambda told: delta_t_f(told["t_c"] * 1.8 + 32, told["rh"], SEA_LEVEL_HPA) / 1.8,
    "sat_vapour_kpa": lambda told: saturation_pressure_hpa(told["t_c"] * 1.8 + 32) / 10,
    "nws_class": _freeze_class,
    "ha_per_min": lambda told: (
        acres_per_hour(told["km_h"] / 1.609344, told["m"] / 0.3048, 1) * 0.40468564 / 60
    ),
}

#: Rows of things that are worked out elsewhere than here.
NOT_OURS = {
    "days_between": "the calendar is the standard library's",
    "tank_range_ac": "tank volume over spray volume is inside cycle_acres_per_hour only",
    "nozzle_gpm": "nozzles are chosen by the applicator",
}

#: Where our formula is another than the table's on purpose, how near it must still come: absolute,
#: and as a share.
NEAR = {
    "wet_bulb_stull_c": (STULL_FIT_C, 0.0),
    "delta_t_c": (STULL_FIT_C, 0.0),
    "sat_vapour_kpa": (0.0, SHORTER_FORMULA_FRAC),
}


def rows():
    told = os.environ.get("RECORDED_ANSWERS")
    path = Path(told) / FILE if told else None
    if path is None or not path.is_file():
        reason = pytest.mark.skip(reason=f"no {FILE} below RECORDED_ANSWERS")
        return [pytest.param({}, id="no table", marks=reason)]
    with path.open(encoding="utf-8", newline="") as lines:
        return [
            pytest.param(row, id=f"{row['id']} {row['function']}, {row['source']}")
            for row in csv.DictReader(lines)
        ]


@pytest.mark.parametrize("row", rows())
def test_a_worked_check_comes_out_as_printed(row):
    name = row["function"]
    if name in NOT_OURS:
        pytest.skip(NOT_OURS[name])
    assert name in OURS, f"{FILE}, id {row['id']}: nothing here answers {name}; map it"
    got = OURS[name](json.loads(row["inputs_json"]))
    expected = json.loads(row["expected_json"])
    if isinstance(expected, int | float):
        least, share = NEAR.get(name, (1e-9, 0.0))
        near = max(float(row["tolerance"] or 0), least, share * abs(expected))
        expected = pytest.approx(expected, rel=0, abs=near)
    assert got == expected
