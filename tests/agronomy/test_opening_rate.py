"""How fast a field opens, from its own counts and the assumption."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import linregress, norm

from agronomy.opening_rate import (
    COUNT_SD_NODES,
    PRIOR_SPREAD_FRAC,
    chance_at_or_below_pct,
    nodes_after,
    opening_rate,
)


@pytest.mark.parametrize("counts", [([], []), ([6.0], [0.0]), ([6.0, 5.0], [10.0, 10.0])])
def test_without_two_counts_apart_only_the_assumption_speaks(counts):
    """50 F days a node: from memory, no source."""
    rate = opening_rate(*counts, 50.0)

    assert rate.nodes_per_f_day == pytest.approx(0.02)
    assert rate.sd == pytest.approx(0.006)
    assert rate.visits < 2


def test_two_counts_are_weighed_against_the_assumption_by_hand():
    """7 nodes, then 4 after 100 F days: slope 0.03, its weight 2 x 50^2 / 0.6^2 = 13,889; the
    assumption 0.02 weighs 1 / 0.006^2 = 27,778. So (0.02 x 2 + 0.03) / 3 = 0.02333, spread
    (41,667) ^ -1/2 = 0.0049. Our arithmetic on the normal prior."""
    rate = opening_rate([7.0, 4.0], [0.0, 100.0], 50.0)

    assert (COUNT_SD_NODES, PRIOR_SPREAD_FRAC) == (0.6, 0.3)
    assert rate.nodes_per_f_day == pytest.approx(0.07 / 3, rel=1e-6)
    assert rate.sd == pytest.approx(0.0049, abs=1e-5)
    assert rate.visits == 2


def test_many_counts_far_apart_speak_for_themselves():
    """scipy.stats.linregress as the reference for the slope."""
    heat = np.array([0.0, 150.0, 300.0, 450.0, 600.0])
    nodes = np.array([12.1, 9.3, 7.2, 4.4, 2.0])
    rate = opening_rate(list(nodes), list(heat), 50.0)

    assert rate.nodes_per_f_day == pytest.approx(-linregress(heat, nodes).slope, rel=0.02)


@given(st.lists(st.tuples(st.floats(0, 20), st.floats(0, 900)), max_size=8))
def test_a_rate_is_always_forwards_and_never_wild(counts):
    """Two scouts' noise may show nodes growing; bolls do not close again."""
    rate = opening_rate([one for one, _ in counts], [heat for _, heat in counts], 50.0)

    assert 0.02 / 3 - 1e-12 <= rate.nodes_per_f_day <= 0.06 + 1e-12
    assert 0 < rate.sd <= 0.006 + 1e-12


def test_nodes_fall_with_heat_and_grow_less_sure():
    """100 F days at 50 a node take 2 nodes; spread hypot(0.6, 100 x 0.006) = 0.849."""
    mean, spread = nodes_after(6.0, 100.0, opening_rate([], [], 50.0))

    assert mean == pytest.approx(4.0)
    assert spread == pytest.approx(0.8485, abs=1e-3)
    assert nodes_after(1.0, 500.0, opening_rate([], [], 50.0))[0] == 0.0


def test_the_chance_is_the_normal_one():
    """scipy.stats.norm as the reference."""
    assert chance_at_or_below_pct(4.0, 4.6, 0.8) == pytest.approx(100 * norm.cdf(4.0, 4.6, 0.8))


def test_heats_and_counts_must_pair():
    with pytest.raises(ValueError, match="got 1 heats for 2 counts"):
        opening_rate([3.0, 4.0], [0.0], 50.0)
