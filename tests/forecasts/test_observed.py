"""Observations by night, day and hour, from daily figures and from a station's reports."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from forecasts.observed import ObservedDays, ObservedReports

CHICAGO = ZoneInfo("America/Chicago")
MIDNIGHT = datetime(2026, 10, 6, tzinfo=CHICAGO)
NAN = float("nan")


def days(rains=None):
    return ObservedDays(
        zone=CHICAGO,
        lows_f={date(2026, 10, 7): 31.0},
        highs_f={date(2026, 10, 6): 78.0},
        rains_in=rains or {},
    )


def reports(temps, start=MIDNIGHT, step_min=60, rain=None, wind=None):
    first = np.datetime64(start.astimezone(UTC).replace(tzinfo=None), "s")
    count = len(temps)
    empty = np.full(count, NAN)
    return ObservedReports(
        station="KQQX",
        time_utc=first + np.timedelta64(53, "m") + np.arange(count) * np.timedelta64(step_min, "m"),
        temp_f=np.array(temps, float),
        wind=empty if wind is None else np.array(wind, float),
        rain=empty if rain is None else np.array(rain, float),
    )


def hours(after, count=0):
    return MIDNIGHT + timedelta(hours=after), MIDNIGHT + timedelta(hours=after + count)


def test_a_low_is_that_of_the_morning_and_a_high_that_of_the_afternoon():
    night, day = hours(9, 24), hours(7, 14)
    assert days().low_f(*night) == 31.0
    assert days().high_f(*day) == 78.0
    assert np.isnan(days().low_f(*hours(-15, 24)))
    assert np.isnan(days().wind_mph(MIDNIGHT))


def test_a_day_without_rain_proves_its_hours_dry_and_a_wet_day_tells_nothing_of_them():
    told = days({date(2026, 10, 6): 0.0, date(2026, 10, 7): 0.3})
    assert told.rain_in(*hours(10, 6)) == 0.0
    assert np.isnan(told.rain_in(*hours(20, 6)))
    assert told.rain_in(*hours(24, 24)) == 0.3
    assert told.rain_in(*hours(0, 48)) == 0.3
    assert np.isnan(told.rain_in(*hours(48, 24)))


def test_a_day_without_a_word_of_rain_is_not_a_dry_one():
    assert np.isnan(days().rain_in(*hours(10, 6)))


def test_lows_and_highs_of_a_station_are_those_of_the_span():
    told = reports([50.0, 40.0, 33.0, 31.0, 45.0, 60.0])
    assert told.low_f(*hours(0, 6)) == 31.0
    assert told.high_f(*hours(0, 6)) == 60.0
    assert told.low_f(*hours(0, 3)) == 33.0


@pytest.mark.parametrize(
    ("temps", "known"),
    [
        pytest.param([50, NAN, 33, 31], True, id="one report lost"),
        pytest.param([50, NAN, NAN, 31], False, id="two in a row lost"),
        pytest.param([NAN, NAN, 40, 31], False, id="silent at the start"),
        pytest.param([50, 40, NAN, NAN], False, id="silent at the end"),
    ],
)
def test_a_silence_that_could_hide_the_low_leaves_it_unknown(temps, known):
    assert np.isfinite(reports(temps).low_f(*hours(0, 4))) == known


def test_no_report_at_all_is_not_known():
    told = reports([])
    assert np.isnan(told.low_f(*hours(0, 1)))
    assert np.isnan(told.rain_in(*hours(0, 1)))


def test_rain_is_summed_by_the_hour_and_reports_between_do_not_add():
    """Half-hourly reports: 0.10 by 0:53, then within the next hour 0.02 and 0.05."""
    told = reports([50] * 4, step_min=30, rain=[0.10, 0.02, 0.05, NAN])
    assert told.rain_in(*hours(0, 2)) == pytest.approx(0.15)


def test_an_hour_that_tells_no_rain_leaves_the_span_unknown():
    told = reports([50] * 3, rain=[0.0, NAN, 0.0])
    assert told.rain_in(*hours(0, 1)) == 0.0
    assert np.isnan(told.rain_in(*hours(0, 3)))


def test_wind_is_the_mean_of_the_reports_in_the_hour():
    told = reports([50] * 4, step_min=30, wind=[8.0, 6.0, 12.0, NAN])
    assert told.wind_mph(MIDNIGHT) == 8.0
    assert told.wind_mph(MIDNIGHT + timedelta(hours=1)) == 9.0
    assert np.isnan(told.wind_mph(MIDNIGHT + timedelta(hours=9)))
