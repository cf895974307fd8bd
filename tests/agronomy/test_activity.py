"""Activity, dose and warmth."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from agronomy.activity import (
    NEED_ACTIVITY_DAYS,
    WEEKS_SHARE,
    activity,
    activity_by_week,
    dose,
    expected_activity,
    warmth,
)

#: Mean of the week [F], dose, warmth [%]: the table the order was chosen with (range 26 F).
WEEKS = [
    (74, 1.43, 100),
    (70, 1.00, 100),
    (66, 0.69, 87),
    (62, 0.49, 72),
    (58, 0.34, 57),
    (55, 0.24, 44),
    (50, 0.11, 22),
]


@pytest.mark.parametrize(("mean_f", "expected_dose", "expected_pct"), WEEKS)
def test_a_week_of_even_days_gives_the_dose_and_warmth_it_was_chosen_with(
    mean_f, expected_dose, expected_pct
):
    temps = mean_f + 13 * np.sin(np.arange(168) * 2 * np.pi / 24)
    got = dose(activity(temps).sum())
    assert got == pytest.approx(expected_dose, abs=0.006)
    assert 100 * warmth(got) == pytest.approx(expected_pct, abs=0.7)


# Common practice, no source: nothing at or below 60 F, double for every 10 F.
@pytest.mark.parametrize(
    ("temp_f", "expected"), [(59.9, 0), (60, 0), (60.001, 1), (70, 2), (80, 4), (90, 8)]
)
def test_activity_doubles_every_ten_degrees_above_sixty(temp_f, expected):
    assert activity(temp_f) == pytest.approx(expected, abs=1e-3)


def test_heat_above_ninety_five_adds_nothing():
    assert activity(110.0) == activity(95.0)


def test_missing_values_stay_missing():
    assert np.isnan(activity([np.nan, 70.0])).tolist() == [True, False]
    assert np.isnan(expected_activity([np.nan, 70.0, 70.0], [5.0, np.nan, 5.0])).tolist() == [
        True,
        True,
        False,
    ]
    assert np.isnan(dose(np.nan))
    assert np.isnan(warmth(np.nan))


@pytest.mark.parametrize(("mean_f", "sd_f"), [(45, 9), (60, 3), (62, 6.4), (75, 8.9), (94, 12)])
def test_expected_activity_is_the_mean_over_the_spread(mean_f, sd_f):
    # Midpoint sum over fine slices of the normal distribution, done here.
    deviate = np.linspace(-9, 9, 400_001)
    weight = np.exp(-(deviate**2) / 2)
    by_hand = (weight * activity(mean_f + sd_f * deviate)).sum() / weight.sum()
    assert expected_activity(mean_f, sd_f) == pytest.approx(by_hand, abs=1e-4)


def test_a_certain_temperature_has_its_own_activity():
    assert expected_activity([58.0, 70.0, 99.0], 0.0).tolist() == activity([58, 70, 99]).tolist()


@pytest.mark.parametrize("sd_f", [-1.0, 250.0])
def test_an_impossible_spread_is_refused(sd_f):
    with pytest.raises(ValueError, match=r"sd_f: got .*, wanted 0 to 100"):
        expected_activity(70.0, sd_f)


def test_the_need_is_a_full_dose():
    assert dose(24 * NEED_ACTIVITY_DAYS) == pytest.approx(1.0)
    assert warmth(1.0) == pytest.approx(1.0)
    assert warmth(0.0) == 0.0


@given(st.floats(min_value=-20, max_value=130), st.floats(min_value=0, max_value=20))
def test_warmer_hours_are_never_less_active(temp, warming):
    assert activity(temp + warming) >= activity(temp)
    assert expected_activity(temp + warming, 6.0) >= expected_activity(temp, 6.0) - 1e-9


@given(st.floats(min_value=0, max_value=50), st.floats(min_value=0, max_value=5))
def test_warmth_rises_with_dose_and_stays_a_share(doses, more):
    assert 0 <= warmth(doses) <= warmth(doses + more) <= 1


@pytest.mark.parametrize("mean_f", [45.0, 60.0, 75.0])
@pytest.mark.parametrize("sd_f", [0.0, 6.0, 12.0])
def test_cold_middling_and_warm_weeks_give_the_expected_activity_together(mean_f, sd_f):
    together = np.dot(WEEKS_SHARE, activity_by_week(mean_f, sd_f))
    assert together == pytest.approx(expected_activity(mean_f, sd_f), rel=0.01, abs=0.005)


def test_a_cold_week_works_less_than_a_warm_one():
    cold, middling, warm = activity_by_week(60.0, 10.0)
    assert cold < middling < warm


@pytest.mark.parametrize("middle_f", [48.0, 55.0, 62.0])
def test_weeks_on_climate_are_worth_what_drawn_weeks_are(middle_f):
    """20,000 weeks are drawn day by day, each day's anomaly following the last with 0.6 (Plains
    lows 0.65, highs 0.56; measured, scripts/fit_season_weather.py). The mean week's warmth lies
    two to six points above."""
    drawn, sd_f = np.random.default_rng(11), 9.0
    fresh = drawn.standard_normal((20_000, 7))
    off = [fresh[:, 0]]
    for day in range(1, 7):
        off.append(0.6 * off[-1] + np.sqrt(1 - 0.6**2) * fresh[:, day])
    normal = middle_f + 13 * np.cos(np.arange(24) * 2 * np.pi / 24)
    temps = normal + sd_f * np.stack(off, axis=1)[:, :, None]
    worth = warmth(dose(activity(temps).sum(axis=(1, 2)))).mean()

    weeks = warmth(dose(7 * activity_by_week(normal, sd_f).sum(axis=-1)))
    assert np.dot(WEEKS_SHARE, weeks) == pytest.approx(worth, abs=0.015)
    assert warmth(dose(7 * expected_activity(normal, sd_f).sum())) > worth + 0.02
