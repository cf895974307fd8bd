"""The effect worked out by hand from the printed formula, on skies simple enough for that.

At a constant 70 F an hour's activity is 2 ^ ((70 - 60) / 10) = 2, a day's dose 2 / 15.7, and
warmth W(x) = (1 - e^-2x) / (1 - e^-2). Our arithmetic on the formula at the top of
dispatch/effect.py; the constants are judgement, the reference of 70 heat units a week is from a
trial (Gwathmey and Hayes 1996).
"""

from dataclasses import replace
from math import exp

import numpy as np
import pytest
from skies import CLIMATE, POLICY, TREATMENT, cotton, morning, only_call, sky, visit

from agronomy.thresholds import MaturityRules, SprayGates
from dispatch.field_rules import FieldRules
from dispatch.report import Call

#: A climate as steady as the sky: 70 F day and night, freezes beyond the season.
STEADY = CLIMATE.model_copy(
    update={
        "normal_high_f": (70.0001,) * 5,
        "normal_low_f": (70.0,) * 5,
        "temp_sd_f": 0.01,
        "first_freeze_day": 365.0,
        "killing_freeze_day": 366.0,
        "first_freeze_sd_days": 1.0,
        "killing_freeze_sd_days": 1.0,
        "wet_day_pct": 0.0,
    }
)
#: Errors without fat tails: at 70 F no night may freeze by chance.
THIN_TAILS = POLICY.model_copy(update={"low_error_dof": (1000.0,), "low_error_sd_f": (4.0,)})
RULES = FieldRules(SprayGates(), MaturityRules(), TREATMENT, STEADY)


def warmth(dose: float) -> float:
    return min(1.0, (1 - exp(-2 * dose)) / (1 - exp(-2)))


def steady_sky(low_by_day: dict[int, float] | None = None):
    """70 F all day and night, but for the lows of some mornings."""
    forecast = sky(highs_f=(70,) * 9, lows_f=(70,) * 10)
    temp, window = forecast.temp_f.copy(), forecast.window_low_f.copy()
    for day, low in (low_by_day or {}).items():
        morning_hour = 24 * day + 1
        window[:, morning_hour - 11 : morning_hour + 3] = low
    return replace(forecast, temp_f=temp, window_low_f=window)


def test_a_steady_week_gives_the_warmth_of_seven_days():
    """x = 7 x 2 / 15.7 = 0.892, W = 0.9623; the first start hour is 10 am."""
    call = only_call(morning(steady_sky(), field_rules=RULES))

    assert call.effect_pct == pytest.approx(100 * warmth(14 / 15.7), abs=0.1)
    assert call.effect_pct == pytest.approx(96.2, abs=0.1)


def test_nothing_lost_by_waiting_is_a_wait():
    """The same week for ever: the back of the line is as good, so it need not be now."""
    call = only_call(morning(steady_sky(), field_rules=RULES, policy=THIN_TAILS))

    assert call.call is Call.WAIT
    assert call.cost_pct == pytest.approx(0, abs=0.05)


@pytest.mark.parametrize("freeze_day", [2, 3, 5])
def test_a_sure_killing_freeze_leaves_the_gain_of_the_nights_before_it(freeze_day):
    """15 F on one morning is sure to kill. Nights end two hours after the hour of sunrise, 9 am
    here (index 3 of the grid from 6 am), so from 10 am (index 4) the gain counts up to the end
    of the night before: 24 (n - 1) - 1 hours, each of activity 2."""
    call = only_call(morning(steady_sky({freeze_day: 15.0}), field_rules=RULES))
    hours_alive = 24 * (freeze_day - 1) - 1

    assert call.call is Call.SHORT
    assert call.effect_pct == pytest.approx(100 * warmth(2 * hours_alive / 24 / 15.7), abs=0.6)


def test_a_freeze_tomorrow_morning_leaves_nothing_to_gain():
    """15 F is 13 F below the killing line; with fat tails one night in a hundred would survive."""
    call = only_call(morning(steady_sky({1: 15.0}), field_rules=RULES, policy=THIN_TAILS))

    assert call.effect_pct == pytest.approx(0, abs=0.6)


def test_washing_rain_takes_sixty_percent_of_its_chance():
    """30 in 100 for every six hours of the week: from 10 am (index 4) the spray hour and twelve
    after it touch three intervals, so the chance lies between 30 and 100 (1 - 0.7^3) = 65.7,
    midway at 47.85, and D = 1 - 0.6 x 0.4785 = 0.7129."""
    forecast = steady_sky()
    rainy = replace(forecast, rain_chance_pct=np.full_like(forecast.temp_f, 30.0))
    call = only_call(morning(rainy, field_rules=RULES))

    assert call.factors_now.dry == pytest.approx(0.7129)
    assert call.effect_pct == pytest.approx(0.7129 * 100 * warmth(14 / 15.7), abs=0.1)


def test_a_chance_told_for_twelve_hours_is_counted_once():
    """The same 30 in 100 told for all thirteen hours at once is two throws of twelve hours:
    30 to 100 (1 - 0.7^2) = 51, midway at 40.5, and D = 1 - 0.6 x 0.405 = 0.757."""
    forecast = steady_sky()
    told = np.full_like(forecast.temp_f, 30.0)
    day = np.broadcast_to(np.arange(told.shape[1], dtype=np.float32) // 24, told.shape)
    rainy = replace(forecast, rain_chance_pct=told, rain_chance_from_h=day)
    call = only_call(morning(rainy, field_rules=RULES))

    assert call.factors_now.dry == pytest.approx(0.757)


def test_a_chance_of_rain_without_its_interval_is_not_known():
    """A forecast kept from before the intervals were: no spray on it, and no chance told."""
    forecast = steady_sky({7: 15.0})
    lost = replace(forecast, rain_chance_from_h=np.full_like(forecast.temp_f, np.nan))

    assert only_call(morning(lost, field_rules=RULES)).call is Call.UNKNOWN


def test_an_unready_field_is_marked_down_by_the_loss_of_its_upper_bolls():
    """NACB 5: the loss beyond NACB 4 is 1.99 - 0.77 = 1.22 % of the crop (Kerby et al. 1992, our
    sum over twelve fruiting branches), over a spray worth 25 %: R = 0.951. The season is at 50 F,
    so no heat ripens it on."""
    cold = STEADY.model_copy(update={"normal_high_f": (50.1,) * 5, "normal_low_f": (50.0,) * 5})
    told = [visit(nacb=5.0, percent_open=None)]
    call = only_call(morning(steady_sky(), visits=told, field_rules=replace(RULES, climate=cold)))

    assert call.factors_now.ready == pytest.approx(1 - 0.0122 / 0.25, abs=0.001)
    assert call.factors_back.ready == pytest.approx(1 - 0.0122 / 0.25, abs=0.001)


def test_order_points_are_cost_times_acres_over_rig_hours():
    """90 ft at 12 mph and 65 % is 85.09 ac/h (Kentucky AEN-73); 200 ac and half an hour to set up
    are 2.850 rig-hours."""
    call = only_call(morning(steady_sky({5: 15.0}), [cotton(1, acres=200)], field_rules=RULES))

    assert call.rig_hours == pytest.approx(2.850, abs=0.002)
    assert call.order_points == pytest.approx(call.cost_pct * 200 / 2.850, rel=0.002)
    assert call.acres_lost == pytest.approx(2 * call.cost_pct, abs=0.02)
