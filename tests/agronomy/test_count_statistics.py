"""How sure counts are: against scipy.stats, printed tables and sums done by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from agronomy.count_statistics import (
    ASSUMED_NODE_SD,
    LEAST_NODE_SD,
    NodeCount,
    chance_at_or_below_pct,
    mean_interval,
    node_count,
    node_count_of_mean,
    open_interval_pct,
    plants_to_be_sure,
)

PLANTS = [4, 3, 5, 4, 3, 4, 5, 2, 4, 3, 5, 4]

counted = st.lists(st.integers(min_value=0, max_value=12), min_size=2, max_size=60)


def test_the_mean_and_its_interval_are_those_done_by_hand():
    """WORKED: 3, 4, 5 has mean 4, sd 1; t(2 df, 0.90 one-sided) = 1.886 in printed tables."""
    count = node_count([3, 4, 5])
    assert (count.mean, count.sd, count.plants) == (4, 1, 3)
    low, high = mean_interval(count)
    assert low == pytest.approx(4 - 1.886 / 3**0.5, abs=1e-3)
    assert high == pytest.approx(4 + 1.886 / 3**0.5, abs=1e-3)


@pytest.mark.parametrize("sure", [50.0, 80.0, 95.0])
def test_the_interval_is_that_of_scipy(sure):
    low, high = mean_interval(node_count(PLANTS), sure)
    mean, error = sum(PLANTS) / len(PLANTS), stats.sem(PLANTS)
    wanted = stats.t.interval(sure / 100, len(PLANTS) - 1, loc=mean, scale=error)
    assert (low, high) == pytest.approx(wanted, rel=1e-12)


@pytest.mark.parametrize("threshold", [3.0, 4.0, 4.5])
def test_the_chance_is_that_of_a_one_sided_t_test(threshold):
    """The chance that the mean lies below is one less the p-value of "the mean is smaller"."""
    told = stats.ttest_1samp(PLANTS, threshold, alternative="less").pvalue
    wanted = 100 * (1 - told)
    assert chance_at_or_below_pct(node_count(PLANTS), threshold) == pytest.approx(wanted)


def test_a_mean_at_the_threshold_is_an_even_chance():
    assert chance_at_or_below_pct(node_count_of_mean(4.0, 12), 4.0) == pytest.approx(50)


def test_plants_that_all_show_the_same_count_are_not_without_error():
    count = node_count([4, 4, 4, 4])
    assert count.sd == LEAST_NODE_SD
    assert chance_at_or_below_pct(count, 4.2) < 99


def test_a_mean_alone_takes_the_assumed_spread_and_says_so():
    count = node_count_of_mean(3.8, 12)
    assert (count.sd, count.sd_assumed) == (ASSUMED_NODE_SD, True)
    assert not node_count(PLANTS).sd_assumed


def test_more_plants_are_counted_until_the_interval_leaves_the_threshold_out():
    """WORKED: 0.5 nodes off at sd 1 wants t / sqrt(n) < 0.5. Printed t (0.90 one-sided): 7 df
    1.415 / sqrt(8) = 0.5003 is too wide, 8 df 1.397 / 3 = 0.466 will do: nine plants."""
    assert plants_to_be_sure(NodeCount(3.5, 1.0, 5), 4.0) == 4
    assert plants_to_be_sure(NodeCount(4.5, 1.0, 8), 4.0) == 1
    assert plants_to_be_sure(NodeCount(3.5, 1.0, 9), 4.0) == 0


def test_a_field_on_the_line_is_not_worth_counting_on():
    assert plants_to_be_sure(NodeCount(4.0, 1.0, 12), 4.0) is None
    assert plants_to_be_sure(NodeCount(3.99, 1.5, 12), 4.0) is None
    assert plants_to_be_sure(NodeCount(3.99, 1.5, 400), 4.0) is None
    assert plants_to_be_sure(NodeCount(3.0, 1.5, 400), 4.0) == 0


@given(counted, st.sampled_from([3.0, 4.0, 5.5]))
def test_nothing_more_to_count_means_sure_either_way(plants, threshold):
    count = node_count(plants)
    low, high = mean_interval(count)
    more = plants_to_be_sure(count, threshold)
    outside = threshold > high or (threshold < low and low > 0)
    assert (more == 0) == outside
    chance = chance_at_or_below_pct(count, threshold)
    assert outside == (not 10 <= chance <= 90)


@given(counted)
def test_a_higher_threshold_is_never_less_likely_met(plants):
    count = node_count(plants)
    chances = [chance_at_or_below_pct(count, one) for one in (2.0, 3.0, 4.0, 5.0)]
    assert chances == sorted(chances)


@pytest.mark.parametrize(
    ("bolls_open", "bolls", "low", "high"),
    [
        # PUBLISHED, from memory: Newcombe 1998, Statistics in Medicine 17, table I, method 3.
        pytest.param(81, 263, 25.53, 36.62, id="Newcombe 1998, 81 of 263"),
        pytest.param(15, 148, 6.24, 16.05, id="Newcombe 1998, 15 of 148"),
        pytest.param(0, 20, 0.0, 16.11, id="Newcombe 1998, 0 of 20"),
        pytest.param(1, 29, 0.61, 17.18, id="Newcombe 1998, 1 of 29"),
    ],
)
def test_percent_open_has_the_printed_score_interval(bolls_open, bolls, low, high):
    got = open_interval_pct(bolls_open, bolls - bolls_open, sure_pct=95)
    assert got == pytest.approx((low, high), abs=0.006)


@given(st.integers(min_value=0, max_value=300), st.integers(min_value=0, max_value=300))
def test_percent_open_has_the_interval_of_scipy(bolls_open, bolls_closed):
    if bolls_open + bolls_closed == 0:
        return
    test = stats.binomtest(bolls_open, bolls_open + bolls_closed)
    wanted = test.proportion_ci(confidence_level=0.8, method="wilson")
    got = open_interval_pct(bolls_open, bolls_closed)
    assert got == pytest.approx((100 * wanted.low, 100 * wanted.high), abs=1e-9)


@pytest.mark.parametrize(
    ("asked", "message"),
    [
        (lambda: node_count([4]), "got 1 plants, wanted two or more"),
        (lambda: node_count([4, float("nan")]), "got nan"),
        (lambda: node_count([4, -1]), "got -1, wanted 0 or more"),
        (lambda: node_count_of_mean(4, 1), "got 1, wanted two or more"),
        (lambda: open_interval_pct(0, 0), r"open \+ closed of zero"),
        (lambda: open_interval_pct(-1, 5), "got -1 open"),
    ],
)
def test_counts_that_cannot_be_are_refused(asked, message):
    with pytest.raises(ValueError, match=message):
        asked()
