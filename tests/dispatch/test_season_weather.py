"""The simulated sky has the statistics of its sources, and its forecasts are honest."""

import numpy as np
import pytest
from scipy.stats import t as student

from agronomy.low_errors import LOW_BIAS_F, LOW_ERROR_DOF, LOW_ERROR_SD_F, NIGHT_CORRELATION
from dispatch.season import assumptions as assumed
from dispatch.season import weather_constants as fitted
from dispatch.season.air import draw_air, hourly_f
from dispatch.season.autoregression import remembering
from dispatch.season.rain import draw_rain
from dispatch.season.temperatures import days_of_year, draw_temperatures

SEASONS = 150
#: Mornings on which rules decide.
MORNINGS = np.arange(assumed.FIRST_MORNING, assumed.LAST_MORNING + 1)


@pytest.fixture(scope="module")
def temperatures():
    return [draw_temperatures(np.random.default_rng([77, number])) for number in range(SEASONS)]


@pytest.fixture(scope="module")
def rains():
    return [draw_rain(np.random.default_rng([78, number])) for number in range(SEASONS)]


def anomalies(temperatures, name, normals):
    values = np.array([getattr(one, name) for one in temperatures])
    # Middles of August to December, 365-day year.
    return values - np.interp(days_of_year(), (227, 258, 288, 319, 349), normals)


@pytest.mark.parametrize(
    ("name", "normals", "spreads"),
    [
        pytest.param("low_f", fitted.NORMAL_LOW_F, fitted.LOW_SD_F, id="lows"),
        pytest.param("high_f", fitted.NORMAL_HIGH_F, fitted.HIGH_SD_F, id="highs"),
    ],
)
def test_highs_and_lows_have_the_fitted_normals_and_spreads(temperatures, name, normals, spreads):
    away = anomalies(temperatures, name, normals)
    early, late = away[:, 12:42], away[:, 72:]
    assert away.mean() == pytest.approx(0, abs=0.6)
    assert early.std() == pytest.approx(spreads[0], rel=0.08)
    assert late.std() == pytest.approx(spreads[1], rel=0.08)


def test_days_go_together_as_fitted(temperatures):
    low = anomalies(temperatures, "low_f", fitted.NORMAL_LOW_F)
    high = anomalies(temperatures, "high_f", fitted.NORMAL_HIGH_F)

    def together(one, other):
        return np.corrcoef(one.ravel(), other.ravel())[0, 1]

    assert together(low[:, :-1], low[:, 1:]) == pytest.approx(fitted.LOW_LAG_1, abs=0.06)
    # What is left of a high once the low is known is remembered less: to within 0.2.
    assert together(high[:, :-1], high[:, 1:]) == pytest.approx(fitted.HIGH_LAG_1, abs=0.2)
    assert together(low, high) == pytest.approx(fitted.LOW_WITH_HIGH, abs=0.06)


def told_and_came(temperatures, lead):
    told = np.array([one.low_told_f[MORNINGS, lead] for one in temperatures])
    came = np.array([one.low_f[MORNINGS + lead] for one in temperatures])
    return told, came


@pytest.mark.parametrize("lead", range(1, assumed.LEADS))
def test_lows_told_miss_by_as_much_as_the_error_table_says(temperatures, lead):
    told, came = told_and_came(temperatures, lead)
    near = (told >= 20) & (told <= 50)
    missed = (told - came)[near]
    assert missed.mean() == pytest.approx(LOW_BIAS_F[lead], abs=0.5)
    assert missed.std() == pytest.approx(LOW_ERROR_SD_F[lead], rel=0.06)


@pytest.mark.parametrize("lead", [1, 3, 5, 7])
@pytest.mark.parametrize("low_f", [28, 32, 36, 40])
def test_of_nights_told_a_low_as_many_freeze_as_the_odds_say(temperatures, lead, low_f):
    told, came = told_and_came(temperatures, lead)
    about = np.abs(told - low_f) <= 2
    dof = LOW_ERROR_DOF[lead]
    scale = LOW_ERROR_SD_F[lead] * np.sqrt((dof - 2) / dof)
    odds = student.cdf((32.5 - (told[about] - LOW_BIAS_F[lead])) / scale, dof)
    seasons = about.any(axis=1).sum()
    assert (came[about] <= 32).mean() == pytest.approx(odds.mean(), abs=0.07)
    assert seasons > 60


def test_nights_of_one_issue_go_wrong_together(temperatures):
    missed = np.array(
        [told_and_came(temperatures, lead)[0] - told_and_came(temperatures, lead)[1]
         for lead in range(1, 8)]
    )  # fmt: skip
    pairs = np.corrcoef(missed.reshape(7, -1))[np.triu_indices(7, 1)]
    assert pairs.mean() == pytest.approx(NIGHT_CORRELATION, abs=0.06)


def test_this_mornings_low_has_been_seen(temperatures):
    one = temperatures[0]
    assert (one.low_told_f[:, 0] == one.low_f).all()


def test_half_days_are_wet_as_often_as_assumed_and_follow_each_other_as_fitted(rains):
    falls = np.array([one.falls for one in rains])
    wet = falls.reshape(*falls.shape[:2], -1, 12).any(axis=3)
    after_wet = wet[..., 1:][wet[..., :-1]].mean()
    assert wet.mean() == pytest.approx(assumed.WET_HALF_DAYS, abs=0.01)
    assert after_wet == pytest.approx(fitted.WET_AFTER_WET, abs=0.04)
    assert falls.reshape(-1, 12).sum(axis=1)[wet.ravel()].mean() == pytest.approx(
        fitted.RAIN_HOURS_WET_HALF_DAY, abs=0.3
    )


@pytest.mark.parametrize("ahead", [0, 3, 7, 12])
def test_of_half_days_told_a_chance_as_many_are_wet(rains, ahead):
    told = np.array([one.chance_pct[:90, :, ahead] for one in rains])
    falls = np.array([one.falls for one in rains])
    wet = falls.reshape(*falls.shape[:2], -1, 12).any(axis=3)[:, :, ahead::2][:, :, :90]
    wet = wet.swapaxes(1, 2)
    for low, high in ((0, 10), (10, 30), (30, 60)):
        inside = (told >= low) & (told < high)
        assert 100 * wet[inside].mean() == pytest.approx(told[inside].mean(), abs=3.5)


def test_wind_follows_the_fitted_course_of_the_day():
    airs = [draw_air(np.random.default_rng([79, number])) for number in range(60)]
    root = np.sqrt(np.array([one.wind_mph for one in airs]).reshape(60, -1, 24)).mean(axis=(0, 1))
    course = np.roll(fitted.WIND_ROOT_BY_HOUR, assumed.LOW_AT_H)
    # Roots below zero are calm, which lifts the mean of calm hours a little.
    assert root == pytest.approx(course, abs=0.12)


def test_hours_run_from_each_low_to_each_high():
    low, high = np.array([[40.0, 50.0, 45.0]]), np.array([[70.0, 80.0, 75.0]])
    hours = hourly_f(low, high, np.array([66.0]))[0]
    assert hours.size == 2 * 24 + assumed.LOW_AT_H
    assert hours[assumed.LOW_AT_H :: 24].tolist() == [40, 50]
    assert hours[assumed.LOW_AT_H + fitted.HOUR_OF_WARMEST :: 24].tolist() == [70, 80]
    assert hours.min() == 40
    assert hours.max() == 80


def test_an_autoregression_keeps_its_spread():
    noise = np.random.default_rng(80).standard_normal((400, 50))
    series = remembering(noise, 0.8)
    assert series[:, -1].std() == pytest.approx(1, abs=0.12)
    assert np.corrcoef(series[:, 20], series[:, 21])[0, 1] == pytest.approx(0.8, abs=0.06)
