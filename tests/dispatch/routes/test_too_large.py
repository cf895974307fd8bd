"""A field no rig can finish in one go: what is proposed for it."""

import pytest
from rig_farms import day, job, problem, rig, window

from dispatch.routes.left_out import left_out_fields


def would_change(one, *rigs) -> str:
    asked = problem([one], [day(each) for each in rigs])
    (left,) = left_out_fields(asked, ((),) * len(rigs))
    return left.would_change


@pytest.mark.parametrize(
    ("acres", "told"),
    [
        # 60 acres in an hour, a window of 3 hours: 180 acres are the most in one go.
        (300, "a quicker rig, or the field entered as 2 of 150 ac each"),
        (400, "a quicker rig, or the field entered as 3 of 133 ac each"),
        (1080, "a quicker rig, or the field entered as 6 of 180 ac each"),
        (1090, "a quicker rig"),
    ],
)
def test_a_field_larger_than_its_window_is_proposed_in_as_few_parts_as_fit(acres, told):
    assert would_change(job("big", (1, 0), acres, window(2, 5)), rig()) == told


def test_refills_count_and_a_window_for_aircraft_alone_is_no_use_on_wheels():
    one = job("big", (1, 0), 300, window(2, 5), gallons=3000)
    # 150 acres are 2.5 hours, their 2 refills of 20 minutes no longer fit into 3 hours; of 100
    # acres 1 refill does.
    slow = rig(tank_gal=500, refill_min=20)
    assert would_change(one, slow) == "a quicker rig, or the field entered as 3 of 100 ac each"
    flown = job("big", (1, 0), 300, window(2, 5), window(6, 11, kinds=("air",)))
    assert would_change(flown, rig()) == "a quicker rig, or the field entered as 2 of 150 ac each"


def test_a_field_that_takes_more_than_a_tank_filled_at_the_yard_is_proposed_in_tanks():
    one = job("big", (1, 0), 90, window(2, 9), gallons=900)
    told = would_change(one, rig(tank_gal=400, refill_min=20, refill_at="yard"))
    assert told.endswith("or a larger tank, or the field entered as 3 of 30 ac each")
