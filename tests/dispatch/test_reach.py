"""What the far end of a forecast may and may not do to the numbers."""

from dataclasses import replace

import numpy as np
import pytest
from skies import morning, only_call, sky, with_hours

#: First hour after the sixth night from a morning run at 6 am: hours past it need not be seen.
PAST_SIX_NIGHTS = 24 * 6 + 3


def numbers(forecast):
    call = only_call(morning(forecast))
    return call.effect_pct, call.back_of_line_pct


def test_hours_that_need_not_be_seen_do_not_move_the_numbers():
    """A heat wave on day seven, or its absence from the answer, leaves them as they are."""
    hot = with_hours(sky(), "temp_f", slice(PAST_SIX_NIGHTS, None), 95.0)
    unseen = with_hours(sky(), "temp_f", slice(PAST_SIX_NIGHTS, None), np.nan)

    assert numbers(hot) == numbers(sky())
    assert numbers(unseen) == numbers(sky())


def test_a_hot_day_that_must_be_seen_does_move_them():
    hot = with_hours(sky(highs_f=(70,) * 9), "temp_f", slice(52, 60), 95.0)

    assert numbers(hot)[0] > numbers(sky(highs_f=(70,) * 9))[0] + 1


def test_a_chance_of_rain_that_is_not_told_counts_as_none_for_the_days_ahead():
    silent = with_hours(sky(), "rain_chance_pct", slice(60, 140), np.nan)
    rainy = with_hours(sky(), "rain_chance_pct", slice(30, 140), 80)

    assert numbers(silent)[1] == pytest.approx(numbers(sky())[1], abs=0.01)
    assert numbers(rainy)[1] < numbers(sky())[1] - 5


def test_past_the_sixth_night_only_the_night_windows_low_counts():
    """Hours of the seventh night a little colder than its window: there or not, no matter."""
    lows = (56, 56, 54, 50, 46, 44, 42, 38, 42, 42)
    forecast = sky(lows_f=lows)
    colder = forecast.temp_f.copy()
    colder[:, 168:171] = 34.0
    with_hours_there = replace(forecast, temp_f=colder)
    without = with_hours(with_hours_there, "temp_f", slice(PAST_SIX_NIGHTS, None), np.nan)

    assert numbers(with_hours_there) == numbers(without)
