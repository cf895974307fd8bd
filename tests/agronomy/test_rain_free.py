"""Dry hours after a start hour."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from agronomy.rain_free import (
    ENDS_SIGHT,
    ENDS_UNKNOWN,
    ENDS_WET,
    dry_gate,
    dry_spell,
    rain_free_hours,
)
from agronomy.three_valued import NO, UNKNOWN, YES
from agronomy.wet_hours import reaches

NAN = np.nan


def test_hours_are_counted_from_the_start_hour_to_the_first_rain():
    assert rain_free_hours([0, 0, 0, 0.05, 0], 1, 0.01) == 2
    assert isinstance(rain_free_hours([0, 0, 0.05], 0, 0.01), float)


def test_a_wet_start_hour_has_no_rain_free_hours():
    assert rain_free_hours([0.2, 0, 0], 0, 0.01) == 0


def test_rain_below_the_threshold_does_not_count():
    assert rain_free_hours([0, 0.009, 0.01, 0], 0, 0.01) == 2


def test_a_hundredth_kept_in_single_precision_is_still_rain():
    assert rain_free_hours(np.array([0, 0.01], dtype=np.float32), 0, 0.01) == 1
    assert rain_free_hours([0, 0.254 / 25.4], 0, 0.01) == 1


def test_a_series_without_rain_gives_the_hours_left():
    assert rain_free_hours(np.zeros(10), 4, 0.01) == 6


def test_an_unknown_hour_before_any_rain_makes_the_count_unknown():
    assert np.isnan(rain_free_hours([0, NAN, 0, 0.2], 0, 0.01))
    assert rain_free_hours([0, 0.2, NAN], 0, 0.01) == 1
    assert rain_free_hours([NAN, 0, 0.2], 1, 0.01) == 1


def test_every_cell_may_start_at_its_own_hour():
    rain = np.zeros((3, 6))
    rain[:, 4] = 0.1
    assert rain_free_hours(rain, np.array([0, 3, 5]), 0.01).tolist() == [4, 1, 1]
    assert rain_free_hours(rain[0], np.array([0, 1, 2]), 0.01).tolist() == [4, 3, 2]


@pytest.mark.parametrize("start_h", [-1, 6, np.array([0, 9])])
def test_a_start_outside_the_series_is_refused(start_h):
    with pytest.raises(ValueError, match=r"start_h: got -?\d, wanted 0 to 5"):
        rain_free_hours(np.zeros(6), start_h, 0.01)


def test_a_start_that_is_no_index_is_refused():
    with pytest.raises(ValueError, match="wanted whole hours"):
        rain_free_hours(np.zeros(6), 1.5, 0.01)


def test_a_dry_spell_ends_wet_unknown_or_out_of_sight():
    rain = np.array([[0, 0, 0.1, 0], [0, 0, NAN, 0], [0, 0, 0, 0], [0, 0, NAN, 0]])
    chance = np.array([[5, 5, 5, 5], [5, 5, 5, 5], [5, 60, 5, NAN], [5, 5, 60, 5]], dtype=float)
    dry_h, end = dry_spell(rain, chance, 0.01, 40)
    assert dry_h.tolist() == [[2, 1, 0, 1], [2, 1, 0, 1], [1, 0, 1, 0], [2, 1, 0, 1]]
    assert end.dtype == np.int8
    assert end.tolist() == [
        [ENDS_WET, ENDS_WET, ENDS_WET, ENDS_SIGHT],
        [ENDS_UNKNOWN, ENDS_UNKNOWN, ENDS_UNKNOWN, ENDS_SIGHT],
        [ENDS_WET, ENDS_WET, ENDS_UNKNOWN, ENDS_UNKNOWN],
        [ENDS_WET, ENDS_WET, ENDS_WET, ENDS_SIGHT],
    ]


def test_the_spray_hour_and_the_hours_after_it_must_stay_dry():
    rain = np.array([0, 0, 0, 0, 0.1, 0, 0, 0, 0.0])
    gate = dry_gate(rain, np.zeros(9), 2, 0.01, 40)
    assert gate.tolist() == [YES, YES, NO, NO, NO, YES, YES, UNKNOWN, UNKNOWN]


def test_part_hours_round_up_and_zero_asks_for_the_spray_hour_only():
    rain = np.array([0, 0, 0.1, 0])
    assert dry_gate(rain, np.zeros(4), 0.5, 0.01, 40).tolist() == [YES, NO, NO, UNKNOWN]
    assert dry_gate(rain, np.zeros(4), 0, 0.01, 40).tolist() == [YES, YES, NO, YES]


def test_known_rain_outranks_an_unknown_hour_before_it():
    rain = np.array([0, NAN, 0, 0.1, 0, 0])
    assert dry_gate(rain, np.zeros(6), 3, 0.01, 40)[0] == NO
    assert dry_gate(rain, np.zeros(6), 2, 0.01, 40)[0] == UNKNOWN


def test_each_cell_may_need_its_own_hours_and_missing_ones_are_unknown():
    rain = np.zeros((3, 8))
    rain[:, 4] = 0.1
    gate = dry_gate(rain, np.zeros((3, 8)), np.array([[1.0], [6.0], [NAN]]), 0.01, 40)
    assert gate[:, 0].tolist() == [YES, NO, UNKNOWN]
    assert gate[2, 3:5].tolist() == [UNKNOWN, NO]  # of hours not entered only the spray hour counts


def test_negative_rain_free_hours_are_refused():
    with pytest.raises(ValueError, match=r"needed_h: got -2, wanted 0 or more"):
        dry_gate([0], [0], -2, 0.01, 40)
    with pytest.raises(ValueError, match=r"needed_h: got -3, wanted 0 or more"):
        dry_gate([[0], [0], [0]], [[0]], [[6], [-3], [NAN]], 0.01, 40)


def test_an_amount_short_of_the_threshold_by_its_last_digits_reaches_it():
    assert reaches([1 - 1e-5, 1 - 2e-5, NAN], 1.0).tolist() == [True, False, False]


hours = st.lists(st.sampled_from([0.0, 0.004, 0.05, NAN]), min_size=1, max_size=30)


@given(hours, st.integers(min_value=0, max_value=30), st.integers(min_value=0, max_value=29))
def test_losing_an_hour_never_opens_the_gate(rain, needed, lost):
    chance = np.full(len(rain), 10.0)
    poorer = np.array(rain)
    poorer[lost % len(rain)] = NAN
    before = dry_gate(rain, chance, needed, 0.01, 40)
    after = dry_gate(poorer, chance, needed, 0.01, 40)
    assert not ((after == YES) & (before != YES)).any()


@given(hours, st.integers(min_value=0, max_value=30))
def test_gate_and_spell_tell_the_same_story(rain, needed):
    chance = np.full(len(rain), 10.0)
    dry_h, end = dry_spell(rain, chance, 0.01, 40)
    gate = dry_gate(rain, chance, needed, 0.01, 40)
    long_enough = dry_h >= needed + 1
    assert (gate == YES).tolist() == long_enough.tolist()
    assert (gate[(end == ENDS_WET) & ~long_enough] == NO).all()


@given(hours)
def test_the_spell_counts_hour_by_hour(rain):
    dry_h, _ = dry_spell(rain, np.zeros(len(rain)), 0.01, 40)
    for start in range(len(rain)):
        counted = 0
        for amount in rain[start:]:
            if np.isnan(amount) or amount >= 0.01:
                break
            counted += 1
        assert dry_h[start] == counted
