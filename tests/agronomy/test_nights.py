"""Nights, the freeze gate, and the odds to stay alive."""

import numpy as np
import pytest
from scipy.stats import multivariate_normal, norm

from agronomy.nights import (
    HOURLY_NIGHTS,
    LOW_ALONE_MARGIN_F,
    freeze_gate,
    known_through_h,
    nights_of,
)
from agronomy.season import expected_excess_f, night_survival, normal_on
from agronomy.survival import chance_alive
from agronomy.three_valued import NO, UNKNOWN, YES

HOURS = 216
#: Sunrise in the second hour of the grid and every 24 hours after: a morning run.
DAWNS = 1 + 24 * np.arange(9)


def nine_days(low_f: float = 45.0, changes: dict[int, float] | None = None):
    """Hours with one low at each sunrise; ``changes`` sets the low of single nights."""
    temp = np.full((1, HOURS), low_f + 20)
    window = np.full((1, HOURS), np.nan)
    for night, dawn in enumerate(DAWNS):
        low = (changes or {}).get(night, low_f)
        temp[0, max(0, dawn - 1) : dawn + 1] = low
        window[0, max(0, dawn - 12) : dawn + 2] = low
    return temp, window


def gate_at(temp, window, hour: int = 4, *, cold_spot_f: float = 0.0, days: int = 7):
    """Gate and free nights of a spray started at an hour."""
    daylight = np.zeros((1, HOURS))
    daylight[0] = [(h - 2) % 24 < 11 for h in range(HOURS)]
    nights = nights_of(temp, window, daylight, DAWNS[None, :], [cold_spot_f], [32.0])
    gate = freeze_gate(nights, [32.0], [days])
    return int(gate.gate[0, hour]), int(gate.nights_free[0, hour]), nights


def test_seven_seen_nights_above_freezing_pass():
    """The twin of every refusal below: whole warm data says yes."""
    gate, free, _ = gate_at(*nine_days())

    assert (gate, free) == (YES, 7)


@pytest.mark.parametrize("night", range(1, 8))
def test_a_freeze_in_any_of_the_seven_nights_refuses(night):
    gate, free, _ = gate_at(*nine_days(changes={night: 32.0}))

    assert (gate, free) == (NO, night - 1)


def test_a_freeze_in_the_eighth_night_leaves_seven():
    assert gate_at(*nine_days(changes={8: 28.0}))[0] == YES


def test_the_same_freeze_refuses_a_start_a_day_later():
    assert gate_at(*nine_days(changes={8: 28.0}), hour=28)[0] == NO


def test_the_freeze_of_the_morning_itself_is_past():
    """A spray at 10 am is not caught by the frost that ended at 8."""
    assert gate_at(*nine_days(changes={0: 30.0}))[0] == YES


def test_a_window_low_at_freezing_refuses_though_the_hours_stay_above():
    temp, window = nine_days(low_f=40.0)
    window[0, DAWNS[5] - 12 : DAWNS[5] + 2] = 31.0

    assert gate_at(temp, window)[0] == NO


def test_a_hollow_freezes_before_its_cell():
    temp, window = nine_days(changes={5: 35.0})

    assert gate_at(temp, window)[0] == YES
    assert gate_at(temp, window, cold_spot_f=3.0)[0] == NO


@pytest.mark.parametrize("hour", [20, 30, 100, 140])
def test_one_missing_hour_leaves_the_gate_unknown(hour):
    temp, window = nine_days()
    temp[0, hour] = np.nan

    assert gate_at(temp, window)[0] == UNKNOWN


def test_a_night_without_its_window_is_not_seen():
    temp, window = nine_days()
    window[0, DAWNS[3] - 12 : DAWNS[3] + 2] = np.nan

    gate, free, _ = gate_at(temp, window)

    assert (gate, free) == (UNKNOWN, 2)


def test_a_night_not_seen_before_the_start_leaves_the_gate_unknown():
    """Nobody knows whether the field still lives when the spray of tomorrow begins."""
    temp, window = nine_days()
    temp[0, 12] = np.nan

    assert gate_at(temp, window, hour=28, days=6)[0] == UNKNOWN
    assert gate_at(*nine_days(), hour=28, days=6)[0] == YES


def test_the_last_night_may_be_known_by_its_window_alone():
    """Early-morning issues end their hours on day seven while the night window runs past."""
    temp, window = nine_days(low_f=32.0 + LOW_ALONE_MARGIN_F + 1)
    temp[0, DAWNS[6] + 3 :] = np.nan

    assert gate_at(temp, window)[0] == YES


def test_a_window_alone_within_the_margin_of_freezing_is_not_enough():
    temp, window = nine_days(changes={7: 32.0 + LOW_ALONE_MARGIN_F})
    temp[0, DAWNS[6] + 3 :] = np.nan

    assert gate_at(temp, window)[:2] == (UNKNOWN, HOURLY_NIGHTS)


def test_a_forecast_of_five_days_leaves_the_gate_unknown_and_counts_its_nights():
    temp, window = nine_days()
    temp[0, 120:] = np.nan
    window[0, 120:] = np.nan

    assert gate_at(temp, window)[:2] == (UNKNOWN, 4)


def test_known_through_ends_with_the_first_hole():
    temp, window = nine_days()
    *_, whole = gate_at(temp, window)
    temp[0, 50] = np.nan
    *_, holed = gate_at(temp, window)

    assert known_through_h(whole)[0] == HOURS
    assert known_through_h(holed)[0] == 50


# Odds.


def alive(low_f, sd_f, *, correlation=0.4, first=0, trusted=7, climate=0.97, threshold=28.0):
    """Chance alive after each night under one forecast."""
    lows = np.asarray(low_f, float)[None, :]
    return chance_alive(
        lows,
        np.broadcast_to(np.asarray(sd_f, float), lows.shape[1:]),
        [threshold],
        np.full(lows.shape, climate),
        bias_f=1.0,
        correlation=correlation,
        first=[first],
        trusted_nights=trusted,
    )[0]


@pytest.mark.parametrize(
    ("low_f", "sd_f"),
    [
        pytest.param(30.0, 4.0, id="scipy.stats.norm"),
        pytest.param(38.0, 5.7, id="scipy.stats.norm"),
    ],
)
def test_one_night_is_the_normal_tail(low_f, sd_f):
    """scipy.stats is the reference for the distribution."""
    assert alive([low_f], [sd_f])[0] == pytest.approx(norm.sf(28.0, low_f - 1.0, sd_f), abs=1e-6)


def test_correlated_nights_match_the_multivariate_normal():
    """scipy.stats.multivariate_normal, equicorrelated errors of 0.4, as the reference."""
    lows, sd = np.array([34.0, 31.0, 36.0, 33.0]), np.array([3.0, 4.0, 5.0, 6.0])
    cov = np.outer(sd, sd) * (0.4 + 0.6 * np.eye(4))
    wanted = multivariate_normal(np.zeros(4), cov).cdf(lows - 1.0 - 28.0)

    assert alive(lows, sd)[-1] == pytest.approx(wanted, abs=2e-4)


def test_nights_that_go_together_are_safer_than_independent_ones():
    """Multiplying nightly odds as if independent overstates the danger."""
    lows, sd = [31.0] * 6, [5.0] * 6

    assert alive(lows, sd, correlation=0.4)[-1] > alive(lows, sd, correlation=0.0)[-1] + 0.02


def test_past_the_trusted_nights_a_warm_forecast_cannot_beat_the_climate():
    warm = alive([60.0] * 9, [5.0] * 9)
    silent = alive([60.0] * 7 + [np.nan] * 2, [5.0] * 9)
    frosty = alive([60.0] * 7 + [25.0] * 2, [5.0] * 9)

    assert warm[-1] == pytest.approx(silent[-1], abs=1e-6)
    assert frosty[-1] < silent[-1] - 0.3


def test_nights_before_the_first_do_not_count():
    assert alive([20.0, 60.0], [3.0, 3.0], first=1)[0] == pytest.approx(1.0)


# Climate.


def test_first_freeze_hazard_gives_back_the_share_of_years():
    """NOAA two-part method with a share of one: the product of nightly odds is 1 - F(date)."""
    nights = np.arange(250, 300)
    survived = np.prod(night_survival(nights, 299.0, 11.0))
    wanted = norm.sf(299, 299.0, 11.0) / norm.sf(249, 299.0, 11.0)

    assert survived == pytest.approx(wanted, rel=1e-9)


def test_expected_excess_matches_numerical_integration():
    """scipy.stats.norm.expect as the reference."""
    wanted = norm(62.0, 8.0).expect(lambda t: max(0.0, t - 60.0))

    assert float(expected_excess_f(62.0, 8.0)) == pytest.approx(wanted, abs=1e-6)


def test_normals_run_straight_between_mid_months():
    """Half way from 15 September (day 258) to 15 October (day 288)."""
    assert float(normal_on(273, (93, 86, 76, 64, 54))) == pytest.approx(81.0)


def test_winter_belongs_to_the_season_before_it():
    """In February the year's freezes are past, and the normal is December's, not August's."""
    assert float(normal_on(45, (93, 86, 76, 64, 54))) == 54.0
    assert float(night_survival(45, 299.0, 11.0)) < 0.5
    assert float(night_survival(230, 299.0, 11.0)) > 0.999
