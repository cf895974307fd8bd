"""The weather of a past season: the newest issue tells each hour, and a record bends it."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from agronomy.hourly_forecast import QUANTITIES, CellForecast, on_common_hours
from farm.field import Field
from forecasts.matched import WatchedPlace
from forecasts.observed import ObservedDays
from scheduler.past_season.truth import SeasonWeather
from scheduler.watched import Watched

CHICAGO = ZoneInfo("America/Chicago")
#: Midnight of 6 October in Chicago.
START = datetime(2026, 10, 6, 5, tzinfo=UTC)


def a_field(cold_spot_f=0.0) -> Field:
    return Field(
        id="nd",
        name="North Draw",
        grower_id="abel",
        latitude=34.1,
        longitude=-101.6,
        acres=100.0,
        time_zone="America/Chicago",
        treatment_id="mix",
        cold_spot_f=cold_spot_f,
    )


def an_issue(start, temp_f, rain_in=0.0, hours=72):
    hourly = {name: np.full(hours, np.nan, np.float32) for name in QUANTITIES}
    hourly["temp_f"][:] = temp_f
    hourly["rain_in"][:] = rain_in
    cell = CellForecast("c", "Somebody", start, start, start, hourly)
    return on_common_hours([("c", cell, "")], start)


def watched(own=False, **record) -> Watched:
    days = {"lows_f": {}, "highs_f": {}, "rains_in": {}} | record
    place = WatchedPlace(34.1, -101.6, CHICAGO)
    return Watched("seen.csv", a_field(), own, place, ObservedDays(CHICAGO, **days), frozenset())


@pytest.fixture
def weather():
    """Two mornings, the second told 10 F colder, over three days."""
    told = SeasonWeather.empty(1, START, 72)
    told.tell(an_issue(START, 50.0), [0])
    told.tell(an_issue(START + timedelta(hours=24), 40.0, hours=24), [0])
    return told


def test_each_hour_is_told_by_the_newest_issue_made_by_then(weather):
    assert weather.temp_f[0, :24].tolist() == [50.0] * 24
    assert weather.temp_f[0, 24:48].tolist() == [40.0] * 24
    assert weather.temp_f[0, 48:].tolist() == [50.0] * 24
    assert weather.lead_h[[0, 23, 24, 47, 48, 71]].tolist() == [0, 23, 0, 23, 48, 71]


def test_a_day_is_stretched_between_the_low_and_the_high_observed(weather):
    """By hand: 40 to 60 F seen as 30 to 70: 50 F stays, 45 F becomes 40."""
    weather.temp_f[0, :24] = [40, 45, 50, 60] + [50] * 20
    weather.close(
        [a_field()], [watched(lows_f={date(2026, 10, 6): 30.0}, highs_f={date(2026, 10, 6): 70.0})]
    )
    assert weather.temp_f[0, :4] == pytest.approx([30, 40, 50, 70])
    assert weather.temp_f[0, 24] == 40.0


def test_a_low_alone_moves_the_night_and_leaves_the_high(weather):
    weather.temp_f[0, :24] = [40, 50, 60] + [50] * 21
    weather.close([a_field()], [watched(lows_f={date(2026, 10, 6): 30.0})])
    assert weather.temp_f[0, :3] == pytest.approx([30, 45, 60])


def test_a_thermometer_in_the_field_is_colder_than_its_cell_by_the_cold_spot(weather):
    """30 F read in a field 3 F colder than its cell is 33 F in the cell, and 30 F there again."""
    one = a_field(cold_spot_f=3.0)
    weather.temp_f[0, :24] = [40] + [50] * 23
    weather.close([one], [watched(own=True, lows_f={date(2026, 10, 6): 30.0})])
    assert weather.temp_f[0, 0] - one.cold_spot_f == pytest.approx(30.0)


def test_observed_rain_decides_over_forecast_rain(weather):
    weather.rain_in[0, 5], weather.rain_in[0, 30] = 0.2, 0.2
    days = {date(2026, 10, 6): 0.0, date(2026, 10, 7): 0.3, date(2026, 10, 8): 0.3}
    weather.close([a_field()], [watched(rains_in=days)])
    assert not weather.wet[0, :24].any()
    assert np.nonzero(weather.wet[0, 24:48])[0].tolist() == [6]
    assert weather.wet[0, 48:].all()
