from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from agronomy.hourly_forecast import CellForecast
from forecasts.last_good import in_words, median_shift_f, no_new_forecast, why_not_usable
from forecasts.nws_forecast import read_forecast
from tests.forecasts.answers import NOW, gridpoint

LAST = read_forecast(gridpoint(), now=NOW)


def later(hours: float, warmer_f: float = 0.0, starts_h: int = 0) -> CellForecast:
    hourly = LAST.hourly | {"temp_f": LAST.hourly["temp_f"] + np.float32(warmer_f)}
    return replace(
        LAST,
        issued_utc=LAST.issued_utc + timedelta(hours=hours),
        start_utc=LAST.start_utc + timedelta(hours=starts_h),
        hourly=hourly,
    )


@pytest.mark.parametrize("shift_f", [-19.5, 0.0, 19.5])
def test_a_newer_answer_near_the_last_is_good(shift_f):
    assert why_not_usable(later(6, shift_f), LAST) == ""


@pytest.mark.parametrize("shift_f", [-36.0, 20.5])
def test_an_answer_far_from_the_last_over_the_same_hours_is_not(shift_f):
    assert "F away from the last" in why_not_usable(later(6, shift_f), LAST)


def test_a_change_over_other_hours_is_weather():
    assert why_not_usable(later(48, -25.0, starts_h=48), LAST) == ""


def test_a_last_answer_of_days_ago_no_longer_stands_in_the_way():
    assert why_not_usable(later(73, -25.0), LAST) == ""


def test_an_older_answer_is_not_a_step_forward():
    assert why_not_usable(later(-1), LAST).startswith("the new answer is an older one")


def test_an_answer_without_age_does_not_replace_one_with():
    assert "when it was issued" in why_not_usable(replace(LAST, issued_utc=None), LAST)
    assert why_not_usable(replace(LAST, issued_utc=None), None) == ""


def test_an_answer_without_temperature_is_no_forecast():
    hourly = LAST.hourly | {"temp_f": np.full(48, np.nan, dtype=np.float32)}
    bare = replace(LAST, hourly=hourly, rejected=("temperature: the unit is missing",))

    assert why_not_usable(bare, None) == (
        "the new answer holds no temperature (temperature: the unit is missing)"
    )


def test_the_shift_is_measured_hour_by_hour():
    ramp = np.arange(48, dtype=np.float32)
    last = replace(LAST, hourly=LAST.hourly | {"temp_f": ramp})
    new = replace(
        last,
        start_utc=LAST.start_utc + timedelta(hours=8),
        hourly=LAST.hourly | {"temp_f": ramp + 8},
    )
    assert median_shift_f(new, last) == 0
    assert median_shift_f(last, new) == 0


@pytest.mark.parametrize(
    ("moment", "zone", "words"),
    [
        (datetime(2026, 10, 6, 8, 10, tzinfo=UTC), "America/Chicago", "Tue 6 Oct 3:10 am"),
        (datetime(2026, 10, 4, 22, 0, tzinfo=UTC), "America/Chicago", "Sun 4 Oct 5 pm"),
        (datetime(2026, 11, 1, 7, 30, tzinfo=UTC), "America/Chicago", "Sun 1 Nov 1:30 am"),
        (datetime(2026, 10, 6, 17, 0, tzinfo=UTC), "America/Chicago", "Tue 6 Oct 12 pm"),
        (datetime(2026, 10, 6, 8, 10, tzinfo=UTC), None, "Tue 6 Oct 8:10 am UTC"),
        (datetime(2026, 10, 6, 8, 10, tzinfo=UTC), "No/Such", "Tue 6 Oct 8:10 am UTC"),
    ],
)
def test_a_moment_is_told_in_the_words_of_the_place(moment, zone, words):
    assert in_words(moment, zone) == words


def test_what_is_missing_is_told_with_since_when():
    assert no_new_forecast(LAST, "America/Chicago", "it rained") == (
        "no new forecast since Tue 6 Oct 5 am: it rained"
    )
    assert no_new_forecast(None, "America/Chicago", "it rained") == "it rained"
