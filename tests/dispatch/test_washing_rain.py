"""Amounts of rain beside its chances: what they may do to a call, and what is told of them."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from skies import CLIMATE, cotton, morning, only_call, rules, sky, with_hours

from dispatch.report import Call

QUIET = settings(
    max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True
)

#: A climate with killing freezes about these very days, so that waiting is dear.
EARLY = CLIMATE.model_copy(update={"killing_freeze_day": 286.0, "killing_freeze_sd_days": 3.0})


def showery(start, hours, chance, inches):
    """A clear week with one spell of a chance and of an amount, whatever they are."""
    spell = slice(start, start + hours)
    forecast = with_hours(sky(), "rain_chance_pct", spell, chance)
    return with_hours(forecast, "rain_in", spell, inches)


showers = st.builds(
    showery,
    st.integers(0, 160),
    st.sampled_from([6, 30, 216]),
    st.sampled_from([0, 10, 35, 90]),
    st.sampled_from([0, 0.0005, 0.004, 0.03, 0.3]),
)
washes = st.sampled_from([0.01, 0.1, 0.5])


@QUIET
@given(
    forecast=showers,
    washing_in=washes,
    quantity=st.sampled_from(["rain_in", "rain_chance_pct", "rain_chance_from_h"]),
    first=st.integers(0, 100),
    length=st.one_of(st.integers(1, 30), st.just(216)),
)
def test_losing_rain_never_turns_another_call_into_spray_nor_makes_one_look_better(
    forecast, washing_in, quantity, first, length
):
    risky = replace(rules(rain_threshold_in=washing_in), climate=EARLY)
    before = only_call(morning(forecast, field_rules=risky))
    lost = with_hours(forecast, quantity, slice(first, first + length), np.nan)
    after = only_call(morning(lost, field_rules=risky))

    if before.call is not Call.SPRAY:
        assert after.call is not Call.SPRAY
    elif after.call is Call.SPRAY:
        assert after.effect_pct <= before.effect_pct + 0.01
        assert after.back_of_line_pct >= before.back_of_line_pct - 0.01


def test_a_wet_amount_beside_a_chance_of_none_makes_the_days_to_come_wet():
    """2 inches a day in the days of the back of the line: at least 50 in 100 for 12 hours of rain
    free and the hour itself (13 x 1/12 over 4 inches, 27 in 100)."""
    dry = only_call(morning(sky()))
    wet = only_call(morning(showery(18, 150, 0, 1 / 12)))

    assert dry.factors_back.wash_chance_pct == 0
    assert wet.factors_back.wash_chance_pct == pytest.approx(100 * 13 / 12 / 4, abs=0.1)
    assert wet.back_of_line_pct < dry.back_of_line_pct


def test_the_bounds_beside_the_chance_counted_with_are_worked_by_hand():
    """13 hours from 10 am (hour 4 of the grid, of six-hour intervals) touch three intervals at 20,
    so 20 to 48.8, and 34.4 is counted; not one of them is sure to be whole."""
    told = only_call(morning(showery(0, 216, 20, 0.0))).factors_now

    assert told.wash_chance_pct == pytest.approx(34.4, abs=0.01)
    assert told.wash_low_pct == pytest.approx(20)
    assert told.wash_high_pct == pytest.approx(48.8, abs=0.01)


def test_a_larger_washing_amount_lowers_the_bounds_and_not_the_effect():
    forecast = showery(0, 216, 20, 0.001)
    any_rain, soaking = (
        only_call(morning(forecast, field_rules=rules(rain_threshold_in=inches))).factors_now
        for inches in (0.01, 0.5)
    )

    assert soaking.wash_chance_pct == pytest.approx(any_rain.wash_chance_pct)
    assert soaking.effect_pct == pytest.approx(any_rain.effect_pct, abs=0.01)
    assert soaking.wash_high_pct < 5 < any_rain.wash_low_pct


def test_bounds_are_not_told_on_climate_nor_where_an_hour_is_lost():
    """Twelve fields are eight days of work for one rig, past what the forecast is trusted for."""
    farm = [cotton(number, acres=160) for number in range(12)]
    on_climate = morning(sky(), farm).fields[0].factors_back
    assert on_climate.on_climate
    assert (on_climate.wash_low_pct, on_climate.wash_high_pct) == (None, None)

    lost = with_hours(showery(0, 216, 20, 0.0), "rain_chance_pct", slice(70, None), np.nan)
    back = only_call(morning(lost)).factors_back
    assert not back.on_climate
    assert (back.wash_low_pct, back.wash_high_pct) == (None, None)
