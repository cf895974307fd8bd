"""The odds to stay alive: fat tails, nights that go together, climate past the forecast."""

from time import perf_counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import multivariate_normal, norm, t

from agronomy.survival import READING_HALF_F, chance_alive


def alive(
    low_f, scale_f, *, dof=6.0, correlation=0.4, first=0, trusted=7, climate=0.97, threshold=28.0
):
    """Chance alive after each night under one forecast, bias 1 F."""
    lows = np.asarray(low_f, float)[None, :]
    return chance_alive(
        lows,
        np.broadcast_to(np.asarray(scale_f, float), lows.shape[1:]),
        [threshold],
        np.full(lows.shape, climate),
        bias_f=1.0,
        dof=dof,
        correlation=correlation,
        first=[first],
        trusted_nights=trusted,
    )[0]


@pytest.mark.parametrize(("low_f", "scale_f", "dof"), [(30.0, 4.0, 5.6), (45.0, 5.7, 22.5)])
def test_one_night_is_the_tail_of_a_t_read_in_whole_degrees(low_f, scale_f, dof):
    """scipy.stats.t is the reference; 28 F is read up to 28.5 F."""
    wanted = t.sf(28.5, dof, low_f - 1.0, scale_f)

    assert alive([low_f], [scale_f], dof=dof)[0] == pytest.approx(wanted, abs=1e-6)
    assert READING_HALF_F == 0.5


def test_fat_tails_see_the_freeze_that_a_normal_error_calls_impossible():
    """46 F forecast, scale 4 F: 4.1 scales above the line."""
    fat = 1 - alive([46.0], [4.0], dof=5.6)[0]

    assert fat == pytest.approx(t.sf(16.5 / 4, 5.6), rel=1e-4)
    assert fat > 50 * norm.sf(16.5 / 4)


def test_nights_of_one_issue_match_a_drawn_copula():
    """Monte Carlo: normal draws of correlation 0.4, each turned into a t of its own night."""
    lows, scale = np.array([34.0, 31.0, 36.0, 33.0]), np.array([3.0, 4.0, 5.0, 6.0])
    dof = np.array([4.0, 6.0, 12.0, 22.0])
    spread = 0.4 + 0.6 * np.eye(4)
    drawn = np.random.default_rng(5).multivariate_normal(np.zeros(4), spread, size=400_000)
    came = lows - 1.0 - scale * t.ppf(norm.cdf(drawn), dof)
    wanted = (np.round(came) > 28).cumprod(axis=1).mean(axis=0)

    np.testing.assert_allclose(alive(lows, scale, dof=dof), wanted, atol=0.003)


def test_without_fat_tails_it_is_the_multivariate_normal():
    """scipy.stats.multivariate_normal as the reference; a t of a million degrees is normal."""
    lows, sd = np.array([34.0, 31.0, 36.0, 33.0]), np.array([3.0, 4.0, 5.0, 6.0])
    cov = np.outer(sd, sd) * (0.4 + 0.6 * np.eye(4))
    wanted = multivariate_normal(np.zeros(4), cov).cdf(lows - 1.0 - 28.5)

    assert alive(lows, sd, dof=1e6)[-1] == pytest.approx(wanted, abs=3e-4)


def test_nights_that_go_together_are_safer_than_independent_ones():
    """Multiplying nightly odds as if independent overstates the danger."""
    lows, scale = [31.0] * 6, [5.0] * 6

    assert alive(lows, scale)[-1] > alive(lows, scale, correlation=0.0)[-1] + 0.02


def test_past_the_trusted_nights_a_warm_forecast_cannot_beat_the_climate():
    warm = alive([60.0] * 9, [5.0] * 9, dof=1e3)
    silent = alive([60.0] * 7 + [np.nan] * 2, [5.0] * 9, dof=1e3)
    frosty = alive([60.0] * 7 + [25.0] * 2, [5.0] * 9, dof=1e3)

    assert warm[-1] == pytest.approx(silent[-1], abs=1e-6)
    assert frosty[-1] < silent[-1] - 0.3


def test_unknown_lows_take_the_odds_of_the_climate():
    np.testing.assert_allclose(
        alive([np.nan] * 3, [5.0] * 3, climate=0.9), [0.9, 0.81, 0.729], rtol=1e-9
    )


def test_nights_before_the_first_do_not_count():
    assert alive([20.0, 60.0], [3.0, 3.0], first=1, dof=1e3)[0] == pytest.approx(1.0)


@given(
    lows=st.lists(st.floats(-20, 90), min_size=1, max_size=10),
    night=st.integers(0, 9),
    colder_f=st.floats(0, 40),
    correlation=st.floats(0, 0.9),
)
def test_a_colder_night_never_raises_the_odds_to_stay_alive(lows, night, colder_f, correlation):
    scale = np.full(len(lows), 5.0)
    before = alive(lows, scale, correlation=correlation)
    changed = list(lows)
    changed[night % len(lows)] -= colder_f
    after = alive(changed, scale, correlation=correlation)

    assert (after <= before + 1e-12).all()
    assert (np.diff(before) <= 1e-12).all()
    assert ((before >= 0) & (before <= 1 + 1e-12)).all()


def test_three_hundred_fields_and_five_weeks_are_quick():
    lows = np.random.default_rng(1).normal(45, 12, (300, 37))

    def once() -> float:
        start = perf_counter()
        chance_alive(
            lows, np.full(37, 5.0), np.full(300, 32.0), np.full(lows.shape, 0.98), bias_f=1.0,
            dof=np.full(37, 8.0), correlation=0.4, first=np.zeros(300, int), trusted_nights=7,
        )  # fmt: skip
        return perf_counter() - start

    assert min(once() for _ in range(3)) < 0.2
