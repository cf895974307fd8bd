"""Answers that no sky can be."""

from dataclasses import replace

import numpy as np
import pytest

from agronomy.hourly_forecast import CellForecast
from forecasts.last_good import why_not_usable
from forecasts.nws_forecast import read_forecast
from forecasts.plausible import season_normal_f, why_not_plausible
from tests.forecasts.answers import NOW, START, gridpoint, layer

#: Sixth of October, 34.75 N, 3,281 ft: the high plains, in the mid sixties by day and fifty by
#: night (from memory).
GOOD = read_forecast(gridpoint(), now=NOW)


def warm(*temp_f: float) -> CellForecast:
    return replace(GOOD, hourly=GOOD.hourly | {"temp_f": np.array(temp_f, dtype=np.float32)})


@pytest.mark.parametrize("alone", [True, False])
def test_an_ordinary_day_is_plausible(alone):
    assert why_not_plausible(GOOD, alone=alone) == ""


def test_a_jump_within_an_hour_is_not_and_is_told_with_its_hour():
    told = why_not_plausible(warm(60, 61, 87, 88), alone=False)
    assert told == "the new answer jumps 26 F within an hour (06 Oct 08:00 UTC)"


@pytest.mark.parametrize("temp_f", [(60, 85), (60, np.nan, 90), (60,), (np.nan, np.nan)])
def test_a_front_a_hole_and_a_single_hour_are_no_jump(temp_f):
    assert why_not_plausible(warm(*temp_f), alone=False) == ""


def test_celsius_read_as_fahrenheit_is_noticed_without_any_earlier_answer():
    # A day around 20 degrees C, said to be in F: 48 F too cold.
    mixed = gridpoint(temperature=layer("wmoUnit:degF", (f"{START}/P2D", 20.0)))
    told = why_not_usable(read_forecast(mixed, now=NOW), None)
    assert "F below what the place and the time of year suggest" in told


def test_fahrenheit_read_as_celsius_is_noticed_without_any_earlier_answer():
    # 52 F said to be in C is 126 F: within what is possible somewhere, not here in October.
    mixed = gridpoint(temperature=layer("wmoUnit:degC", (f"{START}/P2D", 52.0)))
    told = why_not_usable(read_forecast(mixed, now=NOW), None)
    assert "F above what the place and the time of year suggest" in told


def test_an_earlier_answer_is_the_better_yardstick():
    cold = replace(GOOD, hourly=GOOD.hourly | {"temp_f": np.full(48, 15, dtype=np.float32)})
    assert why_not_usable(cold, None) != ""
    assert why_not_usable(cold, cold) == ""


def test_a_few_hours_or_no_place_are_not_held_against_the_season():
    assert why_not_plausible(warm(*[10.0] * 23), alone=True) == ""
    assert why_not_plausible(warm(*[10.0] * 24), alone=True) != ""
    assert why_not_plausible(replace(warm(*[10.0] * 24), outline=()), alone=True) == ""


@pytest.mark.parametrize(
    ("latitude", "day", "elevation_ft", "mean_f"),
    [
        pytest.param(33.6, 288, 3250, 61, id="Lubbock in October, from memory"),
        pytest.param(32.1, 15, 50, 50, id="Savannah in January, from memory"),
        pytest.param(29.7, 201, 80, 84, id="Houston in July, from memory"),
        pytest.param(35.1, 310, 330, 55, id="Memphis in November, from memory"),
        pytest.param(44.9, 15, 830, 15, id="Minneapolis in January, from memory"),
        pytest.param(-27.5, 106, 1100, 66, id="Darling Downs in April, from memory"),
    ],
)
def test_the_yardstick_is_near_known_months(latitude, day, elevation_ft, mean_f):
    assert season_normal_f(latitude, day, elevation_ft) == pytest.approx(mean_f, abs=8)


def test_the_tropics_are_not_measured_with_it():
    ring = tuple((lon, lat - 30) for lon, lat in GOOD.outline)
    assert why_not_plausible(replace(warm(*[35.0] * 24), outline=ring), alone=True) == ""
