"""Sunrise and sunset, against the Solar Position Algorithm of pvlib, and the hours they make."""

import time
from datetime import UTC, date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from agronomy.sun import sun_hours, sunrise_sunset_utc

#: Invented points over US cotton country [deg]: latitudes 28 to 38, longitudes -79 to -120.
GRID = [(28.0, -98.0), (31.5, -83.5), (33.2, -101.7), (34.6, -79.0), (36.2, -120.1), (38.0, -97.4)]
START = datetime(2026, 10, 6, 11, tzinfo=UTC)


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize(("latitude", "longitude"), GRID)
def test_sunrise_and_sunset_agree_with_pvlib_all_year_within_two_minutes(latitude, longitude):
    solarposition = pytest.importorskip("pvlib.solarposition")
    import pandas as pd

    zone = timezone(timedelta(hours=round(longitude / 15)))
    days = pd.date_range("2026-01-01", "2026-12-31", freq="9D", tz=zone)
    reference = solarposition.sun_rise_set_transit_spa(days, latitude, longitude)
    for day, row in reference.iterrows():
        rise, fall = sunrise_sunset_utc(latitude, longitude, day.date(), zone)
        assert abs((rise - row["sunrise"]).total_seconds()) < 120
        assert abs((fall - row["sunset"]).total_seconds()) < 120


@pytest.mark.filterwarnings("ignore")
def test_the_sun_of_many_places_agrees_with_pvlib_within_two_minutes():
    solarposition = pytest.importorskip("pvlib.solarposition")
    import pandas as pd

    latitude, longitude = np.array(GRID).T
    sun = sun_hours(latitude, longitude, START, 72)
    for place, (lat, lon) in enumerate(GRID):
        zone = timezone(timedelta(hours=round(lon / 15)))
        days = pd.date_range("2026-10-05", "2026-10-10", freq="D", tz=zone)
        spa = solarposition.sun_rise_set_transit_spa(days, lat, lon)
        rises, sets = (
            np.array([(t.to_pydatetime() - START) / timedelta(hours=1) for t in spa[name]])
            for name in ("sunrise", "sunset")
        )
        for hour in range(72):
            after = hour - rises[rises <= hour].max()
            light = bool(((rises <= hour) & (sets >= hour + 1)).any())
            # An hour that begins or ends within two minutes of the sun may fall either way.
            if min(np.abs(rises - hour).min(), np.abs(sets - hour - 1).min()) < 2 / 60:
                continue
            assert sun.daylight[place, hour] == light
            assert sun.after_sunrise_h[place, hour] == pytest.approx(after, abs=2 / 60)
            if light:
                left = sets[sets >= hour + 1].min() - hour - 1
                assert sun.before_sunset_h[place, hour] == pytest.approx(left, abs=2 / 60)


def test_sunset_belongs_to_the_local_date_though_it_is_tomorrow_in_utc():
    zone = ZoneInfo("America/Chicago")
    for day in (date(2026, 6, 21), date(2026, 9, 22), date(2026, 11, 1), date(2027, 3, 14)):
        rise, fall = sunrise_sunset_utc(33.2, -101.7, day, zone)
        assert rise.astimezone(zone).date() == fall.astimezone(zone).date() == day
        assert rise.tzinfo is UTC
        assert 9 < (fall - rise) / timedelta(hours=1) < 15


def test_polar_day_and_night_have_no_sunrise_and_unknown_daylight():
    assert sunrise_sunset_utc(75.0, 20.0, date(2026, 6, 21), UTC) == (None, None)
    assert sunrise_sunset_utc(75.0, 20.0, date(2026, 12, 21), UTC) == (None, None)
    sun = sun_hours([75.0, 33.2], [20.0, -101.7], datetime(2026, 12, 21, tzinfo=UTC), 48)
    assert np.isnan(sun.daylight[0]).all()
    assert np.isnan(sun.before_sunset_h[0]).all()
    assert (sun.dawn_h[0] == -1).all()
    assert not np.isnan(sun.daylight[1]).any()


def test_a_place_without_a_position_has_unknown_sun():
    sun = sun_hours([np.nan, 33.2], [-101.7, -101.7], START, 24)
    assert np.isnan(sun.daylight[0]).all()
    assert np.isnan(sun.after_sunrise_h[0]).all()


def test_only_whole_hours_between_sunrise_and_sunset_are_daylight():
    sun = sun_hours([33.2], [-101.7], START, 48)
    rise, fall = sunrise_sunset_utc(33.2, -101.7, date(2026, 10, 6), ZoneInfo("America/Chicago"))
    for hour in range(24):
        begins = START + timedelta(hours=hour)
        whole = rise <= begins and begins + timedelta(hours=1) <= fall
        assert sun.daylight[0, hour] == whole


def test_after_sunset_the_hours_left_are_negative_and_before_dawn_the_last_sunrise_counts():
    sun = sun_hours([33.2], [-101.7], datetime(2026, 10, 6, 0, tzinfo=UTC), 24)
    assert sun.before_sunset_h[0, 2] < 0  # 9 pm local
    assert 20 < sun.after_sunrise_h[0, 11] < 24  # 6 am local
    assert sun.daylight[0, [2, 11]].tolist() == [0, 0]


def test_each_sunrise_on_the_grid_has_its_hour():
    sun = sun_hours([33.2, 34.6], [-101.7, -79.0], START, 216)
    assert sun.dawn_h.shape == (2, 9)
    for place, (latitude, longitude) in enumerate([(33.2, -101.7), (34.6, -79.0)]):
        zone = timezone(timedelta(hours=round(longitude / 15)))
        expected = []
        for day in range(11):
            rise, _ = sunrise_sunset_utc(
                latitude, longitude, date(2026, 10, 5) + timedelta(day), zone
            )
            hour = (rise - START) // timedelta(hours=1)
            expected += [hour] if 0 <= hour < 216 else []
        got = [hour for hour in sun.dawn_h[place].tolist() if hour >= 0]
        assert got == expected


def test_a_grid_that_begins_after_dawn_pads_the_place_with_fewer_dawns():
    # 12:30 UTC rounds to a grid from 12 UTC: dawn has passed in the east, not yet in the west.
    sun = sun_hours([34.6, 33.2], [-79.0, -101.7], datetime(2026, 10, 6, 12, tzinfo=UTC), 20)
    assert sun.dawn_h.tolist() == [[-1], [0]]


def test_neighbours_share_their_sun_and_far_places_do_not():
    sun = sun_hours([33.201, 33.215, 33.2], [-101.7, -101.69, -97.0], START, 24)
    assert sun.before_sunset_h[0] == pytest.approx(sun.before_sunset_h[1], abs=0.01)
    assert sun.before_sunset_h[0, 0] - sun.before_sunset_h[2, 0] == pytest.approx(
        4.7 / 15, abs=0.01
    )


def test_a_whole_season_of_a_large_farm_is_quick():
    chance = np.random.default_rng(3)
    latitude, longitude = chance.uniform(32, 36, 300), chance.uniform(-103, -99, 300)
    began = time.perf_counter()
    sun = sun_hours(latitude, longitude, START, 44 * 24)
    assert sun.daylight.shape == (300, 44 * 24)
    assert time.perf_counter() - began < 2.0  # 0.3 s on an idle core
