"""What spraying before maturity costs."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from agronomy.maturity import (
    boll_size_loss_pct,
    field_loss_pct,
    micronaire_loss_pct,
    projected_nacb,
)

#: NACB, boll size loss [%], micronaire loss [%]: our arithmetic on the slopes of Kerby, Supak,
#: Banks and Snipes, 1992, Proc. Beltwide Cotton Conferences, pp. 155-156.
KERBY = [(2, 0, 0), (3, 1.27, 1.83), (4, 7.95, 7.73), (5, 14.63, 13.63), (6, 21.31, 19.53)]

#: NACB, loss of the field [%]: the same slope, each of the top nodes carrying 1/12 of the yield.
FIELD = [(2, 0), (3, 0.11), (4, 0.77), (5, 1.99), (6, 3.76), (7, 6.10), (8, 8.98)]


@pytest.mark.parametrize(("nacb", "boll_size", "micronaire"), [*KERBY, (7, 27.99, 25.43)])
def test_top_node_losses_follow_the_slopes_of_kerby_1992(nacb, boll_size, micronaire):
    assert boll_size_loss_pct(nacb) == pytest.approx(boll_size, abs=0.01)
    assert micronaire_loss_pct(nacb) == pytest.approx(micronaire, abs=0.01)


@pytest.mark.parametrize(("nacb", "expected"), FIELD)
def test_the_loss_of_a_field_adds_its_top_nodes(nacb, expected):
    assert field_loss_pct(nacb) == pytest.approx(expected, abs=0.006)


def test_arrays_keep_their_shape_scalars_give_a_float_and_missing_stays_missing():
    counts = np.array([[2.0, 4.5], [np.nan, 7.0]])
    for loss in (boll_size_loss_pct, micronaire_loss_pct, field_loss_pct):
        assert np.isnan(loss(counts)).tolist() == [[False, False], [True, False]]
        assert isinstance(loss(4.5), float)


def test_heat_opens_nodes_down_to_none():
    assert projected_nacb(6.0, 100.0, 50.0) == pytest.approx(4.0)
    assert projected_nacb([6.0, 1.0, np.nan], 100.0, 50.0)[:2].tolist() == [4.0, 0.0]
    assert np.isnan(projected_nacb(6.0, np.nan, 50.0))


def test_a_node_without_heat_is_refused():
    with pytest.raises(ValueError, match=r"node_heat_f_days: got 0, wanted more than 0"):
        projected_nacb(6.0, 100.0, 0.0)


@given(st.floats(min_value=0, max_value=25), st.floats(min_value=0, max_value=1))
def test_losses_rise_without_jumps(nacb, more):
    assert 0 <= field_loss_pct(nacb) <= field_loss_pct(nacb + more) <= 40
    assert field_loss_pct(nacb + 1e-6) - field_loss_pct(nacb) < 1e-4
    assert 0 <= boll_size_loss_pct(nacb) <= boll_size_loss_pct(nacb + more) <= 100
