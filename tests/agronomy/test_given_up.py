"""What early sprays gave up in trials, and the price bands of micronaire."""

import math

import pytest

from agronomy.given_up import early_spray_loss_pct, micronaire_band


@pytest.mark.parametrize(
    ("mic", "band"),
    [
        pytest.param(3.5, "base", id="S37, check 190"),
        pytest.param(3.7, "premium", id="S37, check 191"),
        pytest.param(4.2, "premium", id="S37, check 192"),
        pytest.param(4.9, "base", id="S37, check 194"),
        pytest.param(5.0, "discount", id="S37, check 195"),
        pytest.param(3.4, "discount", id="S37, discount to 3.4"),
        pytest.param(3.6, "base", id="S37, base 3.5 to 3.6"),
        pytest.param(4.3, "base", id="S37, base 4.3 to 4.9"),
        pytest.param(3.44, "discount", id="to the nearest tenth, down"),
        pytest.param(4.96, "discount", id="to the nearest tenth, up"),
    ],
)
def test_micronaire_has_the_printed_price_band(mic, band):
    assert micronaire_band(mic) == band


@pytest.mark.parametrize("mic", [0, -1, 42, math.nan])
def test_a_micronaire_that_cannot_be_is_refused(mic):
    with pytest.raises(ValueError, match="mic: got"):
        micronaire_band(mic)


@pytest.mark.parametrize(
    ("percent_open", "least", "most"),
    [
        pytest.param(20, 14, 16, id="S12, 20 % open"),
        pytest.param(40, 6, 14, id="S12, 40 % open"),
        pytest.param(60, 0, 0, id="S17, none at 60 %"),
        pytest.param(85, 0, 0, id="S17, none above 60 %"),
        pytest.param(5, 14, 16, id="below the earliest trial its loss is told"),
    ],
)
def test_early_sprays_lose_what_the_trials_lost(percent_open, least, most):
    assert least <= early_spray_loss_pct(percent_open) <= most


def test_between_two_trials_the_loss_lies_between_theirs_and_missing_stays_missing():
    assert early_spray_loss_pct(50) == pytest.approx(5.0)
    assert early_spray_loss_pct(30) == pytest.approx(12.5)
    assert math.isnan(early_spray_loss_pct(math.nan))
