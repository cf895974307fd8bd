"""Scores of amounts and of odds, against published examples and other libraries."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from agronomy.forecast_scores import error_scores, odds_scores, reliability, share_interval

NAN = float("nan")

#: Ten forecasts of rain and whether it rained; the paper's score, which adds that of "no rain",
#: is 0.19. Brier, Monthly Weather Review 78:1-3, 1950, table 1; forecasts from memory.
BRIER_1950 = (
    (0.7, 0.9, 0.8, 0.4, 0.2, 0.0, 0.0, 0.0, 0.0, 0.1),
    (0, 1, 1, 1, 0, 0, 0, 0, 0, 0),
    0.19,
)

#: Score intervals without correction, from memory: Newcombe, Statistics in Medicine 17:857-872,
#: 1998, table I.
PUBLISHED = [
    pytest.param(81, 263, 0.2553, 0.3662, id="Newcombe, 1998, table I: 81 of 263"),
    pytest.param(15, 148, 0.0624, 0.1605, id="Newcombe, 1998, table I: 15 of 148"),
    pytest.param(0, 20, 0.0, 0.1611, id="Newcombe, 1998, table I: 0 of 20"),
    pytest.param(1, 29, 0.0061, 0.1718, id="Newcombe, 1998, table I: 1 of 29"),
]


def test_errors_of_a_printed_example():
    """scikit-learn's manual, mean_absolute_error and root_mean_squared_error: 0.5, 0.612."""
    told = error_scores([2.5, 0.0, 2.0, 8.0], [3.0, -0.5, 2.0, 7.0])

    assert told.mae == 0.5
    assert told.rmse == pytest.approx(0.612, abs=5e-4)
    # By hand: errors -0.5, 0.5, 0, 1; squares from their mean 0.5625 + 0.0625 + 0.0625 + 0.5625.
    assert told.bias == pytest.approx(0.25)
    assert told.sd == pytest.approx((1.25 / 3) ** 0.5)


def test_a_forecast_that_is_too_warm_has_a_bias_above_zero():
    assert error_scores([40.0, 42.0], [37.0, 40.0]).bias == pytest.approx(2.5)


def test_pairs_with_a_hole_are_left_out_and_counted():
    told = error_scores([40.0, NAN, 41.0, NAN], [38.0, 30.0, NAN, NAN])

    assert (told.n, told.left_out, told.mae) == (1, 3, 2.0)
    assert np.isnan(told.sd)


def test_no_pair_at_all_gives_no_number():
    told = error_scores([NAN], [3.0])

    assert (told.n, told.left_out) == (0, 1)
    assert np.isnan([told.bias, told.mae, told.rmse, told.sd]).all()


def test_brier_score_of_the_first_paper():
    chance, came, printed = BRIER_1950
    assert 2 * odds_scores(chance, came).brier == pytest.approx(printed)


def test_brier_score_of_a_printed_example():
    """scikit-learn's manual, brier_score_loss: 0.0375."""
    told = odds_scores([0.1, 0.9, 0.8, 0.3], [0, 1, 1, 0])

    assert told.brier == pytest.approx(0.0375)
    assert (told.base_rate_frac, told.base_rate_brier) == (0.5, 0.25)


@settings(deadline=None, max_examples=50)
@given(st.lists(st.tuples(st.floats(0, 1), st.booleans()), min_size=2, max_size=60))
def test_scores_are_those_of_another_library(cases):
    metrics = pytest.importorskip("sklearn.metrics")
    chance, came = (np.array(one, float) for one in zip(*cases, strict=True))
    told = odds_scores(chance, came)
    errors = error_scores(chance, came)

    assert told.brier == pytest.approx(metrics.mean_squared_error(came, chance), abs=1e-12)
    if 0 < came.sum() < len(came):
        assert told.brier == pytest.approx(metrics.brier_score_loss(came, chance), abs=1e-12)
    assert errors.mae == pytest.approx(metrics.mean_absolute_error(came, chance), abs=1e-12)
    assert errors.rmse == pytest.approx(metrics.root_mean_squared_error(came, chance), abs=1e-12)


@pytest.mark.parametrize(("hits", "of", "low", "high"), PUBLISHED)
def test_intervals_of_shares_are_the_published_ones(hits, of, low, high):
    assert share_interval(hits, of) == pytest.approx((low, high), abs=6e-5)


def test_a_share_of_nothing_has_no_interval():
    assert np.isnan(share_interval(0, 0)).all()


def test_reliability_by_hand():
    """Three cases of 10 to 20 %, one of 100 %, none elsewhere."""
    table = reliability([0.10, 0.13, 0.19, 1.0], [0, 1, 0, 1])

    assert table.n.tolist() == [0, 3, 0, 0, 0, 0, 0, 0, 0, 1]
    assert table.told_frac[1] == pytest.approx(0.14)
    assert table.came_frac[1] == pytest.approx(1 / 3)
    assert (table.told_frac[9], table.came_frac[9]) == (1.0, 1.0)
    assert np.isnan(table.came_frac[0])
    assert np.isnan(table.low_frac[0])
    assert table.low_frac[1] < 1 / 3 < table.high_frac[1]


@pytest.mark.parametrize("edge", range(11))
def test_a_tenth_lies_in_the_bin_that_it_names(edge):
    table = reliability([edge / 10, edge * 0.1 if edge < 10 else 1.0], [0, 0])
    assert int(np.flatnonzero(table.n)[0]) == min(edge, 9)
    assert table.n.max() == 2


def test_odds_with_a_hole_are_left_out_and_counted():
    told = odds_scores([0.2, NAN, 0.4], [0, 1, NAN])
    assert (told.n, told.left_out) == (1, 2)
    assert told.brier == pytest.approx(0.04)


def test_no_case_at_all_gives_no_score():
    told = odds_scores([NAN], [1])
    assert (told.n, told.left_out) == (0, 1)
    assert np.isnan([told.brier, told.base_rate_frac, told.base_rate_brier]).all()


@pytest.mark.parametrize(
    ("chance", "came", "words"),
    [([40.0], [1], "odds: got 40, wanted 0 to 1"), ([0.4], [2], "outcome: got 2, wanted 0, 1")],
)
def test_percent_and_amounts_are_refused(chance, came, words):
    with pytest.raises(ValueError, match=words):
        odds_scores(chance, came)
