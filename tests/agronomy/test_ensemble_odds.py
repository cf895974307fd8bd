"""Odds counted from members, beside counting them one by one."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from agronomy.ensemble_odds import dry_chance_pct, no_freeze_chance_pct

HOURS = 240


def members(number: int, value: float = 50.0, hours: int = HOURS) -> np.ndarray:
    return np.full((number, hours), value)


def test_members_that_freeze_are_counted_against_those_that_do_not():
    temps = members(31)
    temps[:6, 100] = 30.0  # 6 of 31 freeze in the hour 100

    odds = no_freeze_chance_pct(temps, 32.0)
    # Seven days are 168 hours: from hour 0 to 72 all of them are known.
    assert odds[0] == pytest.approx(100 * 25 / 31)
    assert odds[72] == pytest.approx(100 * 25 / 31)
    assert np.isnan(odds[73:]).all()


def test_a_freeze_before_the_start_or_after_the_days_does_not_count():
    temps = members(20)
    temps[:5, 10] = 30.0
    temps[5:7, 178] = 30.0

    odds = no_freeze_chance_pct(temps, 32.0)
    assert odds[10] == pytest.approx(75.0)  # the hour itself counts, hour 178 is past the 168
    assert odds[11] == pytest.approx(90.0)  # hours 11 to 178
    assert odds[0] == pytest.approx(75.0)


def test_the_freeze_line_itself_is_a_freeze():
    temps = members(10)
    temps[0, 5] = 32.0
    temps[1, 5] = 32.00001
    temps[2, 5] = 32.01

    assert no_freeze_chance_pct(temps, 32.0, days=1)[0] == pytest.approx(80.0)


def test_a_member_with_a_hole_is_not_counted_on_either_side():
    temps = members(20)
    temps[:4, 50] = 30.0
    temps[0, 60] = np.nan  # one that freezes
    temps[19, 60] = np.nan  # and one that does not

    odds = no_freeze_chance_pct(temps, 32.0)
    assert odds[0] == pytest.approx(100 * 15 / 18)
    assert odds[61] == pytest.approx(100.0)


def test_fewer_than_ten_known_members_tell_nothing():
    temps = members(12)
    temps[:2, 60] = np.nan
    assert no_freeze_chance_pct(temps, 32.0)[0] == pytest.approx(100.0)

    temps[2, 61] = np.nan
    odds = no_freeze_chance_pct(temps, 32.0)
    assert np.isnan(odds[0])
    assert odds[62] == pytest.approx(100.0)
    assert np.isnan(no_freeze_chance_pct(members(9), 32.0)).all()


def test_rain_from_the_spray_hour_to_the_last_needed_hour_counts():
    rain = members(10, 0.0, 40)
    rain[0, 5] = 0.5
    rain[1, 17] = 0.5
    rain[2, 18] = 0.5

    odds = dry_chance_pct(rain, 12.0)
    # 12 rain-free hours after the spray hour 5 are the hours 5 to 17.
    assert odds[5] == pytest.approx(80.0)
    assert odds[6] == pytest.approx(80.0)  # hours 6 to 18
    assert odds[4] == pytest.approx(90.0)  # hours 4 to 16
    assert odds[27] == pytest.approx(100.0)
    assert np.isnan(odds[28:]).all()


def test_part_of_an_hour_needs_the_whole_hour():
    rain = members(10, 0.0, 40)
    rain[0, 3] = 0.5

    assert dry_chance_pct(rain, 2.0)[0] == pytest.approx(100.0)
    assert dry_chance_pct(rain, 2.1)[0] == pytest.approx(90.0)


def test_a_drizzle_adds_up():
    rain = members(10, 0.0, 40)
    rain[0, 2:7] = 0.002  # 0.01 inch in all
    rain[1, 2:6] = 0.002  # 0.008 inch

    assert dry_chance_pct(rain, 12.0)[0] == pytest.approx(90.0)


def test_hours_that_were_not_entered_tell_nothing():
    assert np.isnan(dry_chance_pct(members(20, 0.0), math.nan)).all()


def test_cells_stand_beside_each_other():
    two = np.stack([members(10), members(10)])
    two[1, :5, 3] = 20.0
    odds = no_freeze_chance_pct(two, 32.0, days=1)

    assert odds.shape == (2, HOURS)
    assert odds[:, 0].tolist() == [100.0, 50.0]


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: no_freeze_chance_pct(members(10), 32.0, days=0), "days: got 0"),
        (lambda: no_freeze_chance_pct([50.0] * 24, 32.0), "temp_f: got 1 axes"),
        (lambda: dry_chance_pct([0.0] * 24, 12.0), "rain_in: got 1 axes"),
        (lambda: dry_chance_pct(members(10), -1.0), "needed_h: got -1"),
    ],
)
def test_what_cannot_be_meant_is_refused(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def by_hand(values: np.ndarray, start: int, span: int, fits) -> float:
    """Members counted one by one."""
    known = fitting = 0
    for member in values:
        window = [float(one) for one in member[start : start + span]]
        if len(window) < span or any(math.isnan(one) for one in window):
            continue
        known += 1
        fitting += fits(window)
    return math.nan if known < 10 else 100 * fitting / known


TEMPS = st.sampled_from([20.0, 31.9, 32.0, 32.1, 33.0, 40.0, 60.0, math.nan])
RAINS = st.sampled_from([0.0, 0.0, 0.0, 0.0, 0.004, 0.02, math.nan])


@settings(max_examples=40, deadline=None)
@given(temps=arrays(float, (14, 60), elements=TEMPS, fill=st.just(45.0)), start=st.integers(0, 59))
def test_freeze_odds_are_those_counted_by_hand(temps, start):
    wanted = by_hand(temps, start, 24, lambda window: all(one > 32.0 for one in window))
    got = no_freeze_chance_pct(temps, 32.0, days=1)[start]
    assert got == pytest.approx(wanted, nan_ok=True)


@settings(max_examples=40, deadline=None)
@given(
    rain=arrays(float, (14, 40), elements=RAINS, fill=st.just(0.0)),
    start=st.integers(0, 39),
    needed_h=st.integers(0, 24),
)
def test_dry_odds_are_those_counted_by_hand(rain, start, needed_h):
    wanted = by_hand(rain, start, needed_h + 1, lambda window: math.fsum(window) < 0.01 - 1e-6)
    got = dry_chance_pct(rain, needed_h)[start]
    assert got == pytest.approx(wanted, nan_ok=True)
