"""Bounds of the chance of rain over several intervals. All figures are our own arithmetic."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from agronomy.rain_odds import rain_chance_bounds_pct, washing_chance_pct

NAN = np.nan


def test_the_lower_bound_is_the_highest_interval_and_the_upper_as_if_independent():
    """Six hours at 20, six at 50: 1 - 0.8 x 0.5 = 0.60."""
    chance, interval = [[20.0] * 6 + [50.0] * 6], [[0] * 6 + [6] * 6]
    low, high = rain_chance_bounds_pct(chance, interval, 6)
    assert low[0, :6].tolist() == [50] * 6
    np.testing.assert_allclose(high[0, :6], 60)
    assert np.isnan(low[0, 6:]).all()
    assert np.isnan(high[0, 6:]).all()


def test_hours_of_one_interval_are_one_throw():
    low, high = rain_chance_bounds_pct([[30.0] * 12], [[5] * 12], 11)
    assert (low[0, 0], high[0, 0]) == (30, pytest.approx(30))


def test_three_intervals_are_three_throws_and_only_the_hours_needed_are_touched():
    """30, 30, 30: 1 - 0.7^3 = 0.657; two of them 0.51."""
    chance, interval = [[30.0] * 18], [np.repeat([0, 6, 12], 6)]
    _, high = rain_chance_bounds_pct(chance, interval, 7)
    np.testing.assert_allclose(high[0, :6], [51, 51, 51, 51, 51, 65.7])


@pytest.mark.parametrize(("needed_h", "high_pct"), [(11, 20.0), (12, 36.0), (23, 36.0), (24, 48.8)])
def test_an_interval_longer_than_twelve_hours_is_several_throws(needed_h, high_pct):
    """20 in 100 for each begun twelve hours touched: 20, 1 - 0.8^2 = 36, 1 - 0.8^3 = 48.8."""
    low, high = rain_chance_bounds_pct([[20.0] * 48], [[0] * 48], needed_h)
    assert (low[0, 0], high[0, 0]) == (20, pytest.approx(high_pct))


def test_part_hours_round_up_and_each_place_needs_its_own():
    chance = np.array([[10.0, 20, 50]] * 4)
    interval = np.array([[0.0, 1, 2]] * 4)
    low, high = rain_chance_bounds_pct(chance, interval, np.array([[0.0], [0.5], [2.0], [NAN]]))
    np.testing.assert_array_equal(
        low, [[10, 20, 50], [20, 50, NAN], [50, NAN, NAN], [NAN, NAN, NAN]]
    )
    np.testing.assert_allclose(high, [[10, 20, 50], [28, 60, NAN], [64, NAN, NAN], [NAN, NAN, NAN]])


@pytest.mark.parametrize("lost", ["chance", "interval"])
def test_an_unknown_hour_makes_every_window_that_touches_it_unknown(lost):
    chance, interval = np.full((1, 6), 30.0), np.zeros((1, 6))
    (chance if lost == "chance" else interval)[0, 3] = NAN
    for bound in rain_chance_bounds_pct(chance, interval, 1):
        assert np.isnan(bound[0]).tolist() == [False, False, True, True, False, True]


def test_an_unknown_hour_can_count_as_none_and_does_not_cut_its_interval_in_two():
    low, high = rain_chance_bounds_pct(
        [[NAN, 30, NAN, 30, 30]], [[NAN, 4, NAN, 4, 4]], 3, unknown_pct=0
    )
    assert low.tolist() == [[30, 30, 30, 30, 30]]
    np.testing.assert_allclose(high, [[30] * 5])


def test_a_lost_first_hour_does_not_empty_its_interval():
    """30 and 40: 1 - 0.7 x 0.6 = 0.58."""
    _, high = rain_chance_bounds_pct([[NAN, 30, 40]], [[4, 4, 6]], 2, unknown_pct=0)
    assert high[0, 0] == pytest.approx(58)


def test_hours_before_any_interval_are_told_do_not_lengthen_the_first():
    """Twelve hours at 20 are one throw."""
    named = [[NAN] * 6 + [0] * 12]
    _, high = rain_chance_bounds_pct([[20] * 18], named, 17, unknown_pct=0)
    assert high[0, 0] == pytest.approx(20)


def test_the_chance_the_effect_counts_with_is_midway():
    assert washing_chance_pct([[20, 50, 0]], [[0, 1, 2]], 1)[0, 0] == pytest.approx(55)


def test_a_sure_rain_is_sure_and_chances_out_of_range_are_cut():
    assert washing_chance_pct([[100, 20]], [[0, 1]], 1)[0, 0] == 100
    assert rain_chance_bounds_pct([[130, -4]], [[0, 1]], 0).high.tolist() == [[100, 0]]


def test_negative_rain_free_hours_are_refused():
    with pytest.raises(ValueError, match=r"needed_h: got -2, wanted 0 or more"):
        rain_chance_bounds_pct([[0]], [[0]], -2)


runs = st.lists(st.tuples(st.integers(1, 30), st.integers(0, 100)), min_size=1, max_size=6)


def _series(told):
    chance = np.concatenate([np.full(hours, float(pct)) for hours, pct in told])[None, :]
    first = np.cumsum([0, *(hours for hours, _ in told)])[:-1]
    return chance, np.repeat(first, [hours for hours, _ in told]).astype(float)[None, :]


@given(runs, st.integers(0, 40))
def test_the_bounds_are_those_of_the_intervals_counted_one_by_one(told, needed):
    """The definition, walked window by window: a throw for each begun twelve hours touched."""
    chance, interval = _series(told)
    low, high = rain_chance_bounds_pct(chance, interval, needed)
    for start in range(chance.shape[1] - needed):
        hours = slice(start, start + needed + 1)
        names, touched = np.unique(interval[0, hours], return_counts=True)
        each = [chance[0, interval[0] == name][0] for name in names]
        left = np.prod([(1 - p / 100) ** -(-n // 12) for p, n in zip(each, touched, strict=True)])
        assert low[0, start] == max(each)
        assert high[0, start] == pytest.approx(100 * (1 - left))


@given(runs, st.integers(0, 40), st.data())
def test_more_chance_never_lowers_the_odds_and_lost_hours_never_raise_them(told, needed, data):
    chance, interval = _series(told)
    before = washing_chance_pct(chance, interval, needed, unknown_pct=0)
    first = data.draw(st.integers(0, chance.shape[1] - 1))
    hours = slice(first, first + data.draw(st.integers(1, 30)))
    more, lost, unnamed = chance.copy(), chance.copy(), interval.copy()
    more[:, hours] += data.draw(st.integers(1, 60))
    lost[:, hours], unnamed[:, hours] = NAN, NAN
    slack = 1e-9
    assert (washing_chance_pct(more, interval, needed, unknown_pct=0) >= before - slack).all()
    assert (washing_chance_pct(lost, interval, needed, unknown_pct=0) <= before + slack).all()
    assert (washing_chance_pct(chance, unnamed, needed, unknown_pct=0) <= before + slack).all()
    assert (washing_chance_pct(lost, unnamed, needed, unknown_pct=0) <= before + slack).all()
