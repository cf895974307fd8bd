"""Rigs of a simulated season never work more than the hours allow."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as some

from dispatch.season.rigs import Fleet


def hours(*which):
    flags = np.zeros(24, dtype=bool)
    flags[list(which)] = True
    return flags


def test_a_rig_takes_the_first_field_that_may_be_begun():
    fleet = Fleet(1)
    work = {0: hours(8, 9), 1: hours(8, 9)}
    begun = fleet.spray([0, 1], [1.0, 1.0], {0: hours(9), 1: hours(8, 9)}, work)
    assert begun == [(1, 8), (0, 9)]
    assert fleet.worked_h == 2


def test_a_field_begun_is_finished_before_another_is_taken():
    fleet = Fleet(1)
    all_day = {0: hours(8, 9), 1: hours(8, 9)}
    assert fleet.spray([0, 1], [2.5, 1.0], all_day, all_day) == [(0, 8)]
    # Half an hour is left in the first field; the second begins in the same hour of the next day.
    assert fleet.spray([1], [2.5, 1.0], {1: hours(8, 9)}, all_day) == [(1, 8)]
    assert fleet.worked_h == 3.5


def test_two_rigs_take_two_fields_at_once():
    fleet = Fleet(2)
    all_day = {one: hours(8) for one in range(3)}
    assert fleet.spray([2, 0, 1], [1.0, 1.0, 1.0], all_day, all_day) == [(2, 8), (0, 8)]


@settings(max_examples=60, deadline=None)
@given(
    rigs=some.integers(1, 3),
    needed=some.lists(some.floats(0.5, 3), min_size=1, max_size=12),
    work=some.lists(some.lists(some.booleans(), min_size=24, max_size=24), min_size=1, max_size=4),
)
def test_no_more_is_sprayed_than_rig_hours_allow(rigs, needed, work):
    fleet, begun, worked = Fleet(rigs), [], 0
    for day in work:
        flags = np.array(day)
        left = [one for one in range(len(needed)) if one not in dict(begun)]
        able = {one: flags for one in range(len(needed))}
        today = fleet.spray(left, needed, able, able)
        begun += today
        worked += int(flags.sum())
        assert all(flags[hour] for _, hour in today)
    finished = sum(needed[one] for one, _ in begun) - sum(
        left for left, here in zip(fleet.left_h, fleet.at_field, strict=True) if here is not None
    )
    assert fleet.worked_h <= rigs * worked + 1e-6
    assert abs(fleet.worked_h - finished) < 1e-6
    assert len(dict(begun)) == len(begun)
