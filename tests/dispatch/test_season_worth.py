"""What a simulated spray is worth, by hand."""

import numpy as np
import pytest

from dispatch.season.co_op import KINDS, CoOp, field_of
from dispatch.season.worth import SeasonTruth, killed_day, worth_of

HOURS, DAYS = 24 * 20, 20
#: 70 F all week: 2 an hour, 14 activity-days of 15.7 in a week; (1 - e^-1.7834) / (1 - e^-2).
WEEK_AT_70_F = 0.96225
#: The same for three days and two hours: 6.1667 activity-days of 15.7.
THREE_DAYS_AT_70_F = 0.62924


def co_op(kind=0):
    return CoOp(
        registered=(field_of("a", KINDS[kind], 100.0),),
        kind=np.array([kind]),
        acres=np.array([100.0]),
        mature_day=np.array([250.0]),
        rigs=(),
    )


def truth(**changed):
    told = {
        "temp_f": np.full(HOURS, 70.0),
        "rains": np.zeros((3, HOURS), dtype=bool),
        "low_f": np.full(DAYS, 60.0),
        "nacb": np.full((1, DAYS), 3.0),
    }
    return SeasonTruth(**(told | changed))


def worth(start_h, kind=0, **changed):
    return float(worth_of(co_op(kind), truth(**changed), np.array([start_h]))[0])


def test_a_warm_week_is_worth_its_warmth():
    assert worth(24) == pytest.approx(WEEK_AT_70_F, abs=1e-4)


def test_a_killing_freeze_cuts_the_week_short():
    low = np.full(DAYS, 60.0)
    # 32 F at the station is 28 F in a field 4 F colder; begun at hour 24, killed at hour 98.
    low[4] = 32.0
    assert worth(24, low_f=low) == pytest.approx(THREE_DAYS_AT_70_F, abs=1e-4)
    assert killed_day(low, 4.0) == 4
    assert killed_day(low, 3.9) == DAYS


@pytest.mark.parametrize(("rain_h", "washed"), [(24, True), (30, True), (31, False), (23, False)])
def test_rain_in_the_hours_a_mix_needs_takes_six_tenths(rain_h, washed):
    rains = np.zeros((3, HOURS), dtype=bool)
    rains[0, rain_h] = True
    left = 0.4 if washed else 1.0
    assert worth(24, rains=rains) == pytest.approx(left * WEEK_AT_70_F, abs=1e-4)


def test_rain_elsewhere_washes_nothing_off():
    rains = np.zeros((3, HOURS), dtype=bool)
    rains[1] = True
    assert worth(24, rains=rains) == pytest.approx(WEEK_AT_70_F, abs=1e-4)


def test_unripe_bolls_lose_part_of_it():
    # Five nodes and not four: Kerby 1992, 6.68 % a node above 2.81, a twelfth of the yield for the
    # fifth node: 1.2191 % of the crop, over 25 % that a spray is worth.
    nacb = np.full((1, DAYS), 5.0)
    assert worth(24, nacb=nacb) == pytest.approx((1 - 0.012191 / 0.25) * WEEK_AT_70_F, abs=1e-4)


def test_no_spray_and_a_lost_one_keep_a_quarter():
    assert worth(-1) == 0.25
    assert worth(24, temp_f=np.full(HOURS, 50.0)) == 0.25
