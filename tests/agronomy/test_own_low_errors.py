"""A farm's own errors of forecast lows, shrunk towards the default table."""

import numpy as np
import pytest

from agronomy.own_low_errors import OwnLead, blended_low_errors, blended_own, own_leads

NIGHTS = np.datetime64("2026-10-01", "D") + np.arange(75)


def pairs(errors, lead=0, low_f=36.0, nights=NIGHTS):
    errors = np.asarray(errors, float)
    forecast = np.full(len(errors), low_f)
    return np.full(len(errors), lead), nights[: len(errors)], forecast, forecast - errors


def test_bias_and_spread_are_blended_by_the_nights_there_are():
    """By hand. 75 nights, weight 75 / 135 = 5/9. Errors 5 and -1 in turn, one 2 at the end: bias
    2, variance 74 x 9 / 74 = 9. Default bias 1, variance 4: bias 1 x 4/9 + 2 x 5/9 = 14/9,
    variance (4 x 4 + 5 x 9) / 9 = 61/9."""
    errors = [5.0, -1.0] * 37 + [2.0]
    first, second = blended_low_errors(*pairs(errors), [1.0, 1.5], [2.0, 3.0])

    assert (first.nights, first.pairs) == (75, 75)
    assert first.weight_frac == pytest.approx(5 / 9)
    assert (first.here_bias_f, first.here_sd_f) == (pytest.approx(2.0), pytest.approx(3.0))
    assert first.bias_f == pytest.approx(14 / 9)
    assert first.sd_f == pytest.approx((61 / 9) ** 0.5)
    assert (second.nights, second.weight_frac, second.bias_f, second.sd_f) == (0, 0.0, 1.5, 3.0)


@pytest.mark.parametrize(("nights", "counts"), [(59, False), (60, True)])
def test_fewer_than_sixty_nights_change_nothing(nights, counts):
    told, *_ = blended_low_errors(*pairs(np.linspace(0, 9, nights)), [1.0], [2.0])

    assert (told.weight_frac > 0) is counts
    assert ((told.bias_f, told.sd_f) == (1.0, 2.0)) is not counts
    assert told.nights == nights


def test_one_night_of_many_fields_is_one_night():
    same = np.repeat(NIGHTS[:10], 10)
    told, *_ = blended_low_errors(*pairs(np.linspace(0, 9, 100), nights=same), [1.0], [2.0])

    assert (told.nights, told.pairs, told.weight_frac) == (10, 100, 0.0)


def test_warm_nights_and_holes_do_not_count():
    warm, *_ = blended_low_errors(*pairs([3.0] * 75, low_f=51.0), [1.0], [2.0])
    holes, *_ = blended_low_errors(*pairs([np.nan] * 75), [1.0], [2.0])

    assert warm.nights == holes.nights == 0
    assert np.isnan([warm.here_bias_f, holes.here_sd_f]).all()


def test_the_shorter_default_goes_on_with_its_last_number():
    table = blended_low_errors(*pairs([0.0] * 2), [1.0], [2.0, 3.0])
    assert [(one.bias_f, one.sd_f) for one in table] == [(1.0, 2.0), (1.0, 3.0)]


def test_many_nights_outweigh_the_default():
    nights = np.datetime64("2000-01-01", "D") + np.arange(6000)
    errors = np.tile([4.0, -4.0], 3000)
    told, *_ = blended_low_errors(*pairs(errors, nights=nights), [2.0], [5.0])

    assert told.sd_f == pytest.approx(4.0, abs=0.1)
    assert told.bias_f == pytest.approx(0.0, abs=0.03)


@pytest.mark.parametrize(
    ("errors", "sd_f", "bias_f"),
    [
        pytest.param([0.0, 0.0], 0.7 * 6.0, 0.0, id="a thermometer that only repeats the forecast"),
        pytest.param([30.0, -30.0], 1.4 * 6.0, 0.0, id="one in the sun"),
        pytest.param([9.0, 9.0], 0.7 * 6.0, 3.0, id="one in a frost hollow"),
        pytest.param([-9.0, -9.0], 0.7 * 6.0, -3.0, id="one by the wall of a house"),
    ],
)
def test_a_blend_never_leaves_the_default_far_behind(errors, sd_f, bias_f):
    nights = np.datetime64("2000-01-01", "D") + np.arange(6000)
    told, *_ = blended_low_errors(*pairs(errors * 3000, nights=nights), [0.0], [6.0])

    assert told.held
    assert (told.sd_f, told.bias_f) == (pytest.approx(sd_f), pytest.approx(bias_f, abs=0.01))


def test_leads_that_were_kept_blend_as_the_nights_they_came_from_did():
    """Only leads with enough nights are kept; the others are the default again."""
    errors = [5.0, -1.0] * 37 + [2.0]
    whole = blended_low_errors(*pairs(errors, lead=1), [1.0, 1.5, 2.0], [3.0, 4.0, 5.0])
    kept = own_leads(whole)

    assert [(one.lead_days, one.nights) for one in kept] == [(1, 75)]
    again = blended_own(kept, [1.0, 1.5, 2.0], [3.0, 4.0, 5.0])
    figures = [(one.weight_frac, one.bias_f, one.sd_f) for one in again]
    assert figures == [(one.weight_frac, one.bias_f, one.sd_f) for one in whole]
    assert figures[0] == (0.0, 1.0, 3.0)


@pytest.mark.parametrize("changed", [{"nights": 59}, {"sd_f": float("nan")}, {"bias_f": 31.0}])
def test_a_lead_that_cannot_be_is_refused(changed):
    values = {"lead_days": 1, "nights": 80, "pairs": 80, "bias_f": 1.0, "sd_f": 3.0}
    with pytest.raises(ValueError, match="1 validation error"):
        OwnLead(**(values | changed))
