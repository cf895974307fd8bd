"""What another source sees past the leader's reach, by hand."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from skies import NOW, POLICY, START, cotton, rules, sky

from dispatch.further import (
    AGE_NOT_KNOWN,
    NO_FURTHER,
    TOO_OLD,
    further_figures,
    leader_reach_h,
)

HOURS = 384
#: Tuesday 13 October, 7 pm in the Central zone: where the leader ends.
REACH = datetime(2026, 10, 14, 0, tzinfo=UTC)
SATURDAY_5_AM = datetime(2026, 10, 17, 10, tzinfo=UTC)


def other(temp_f=(), rain_in=0.0, age_h=4.0, steady_f=50.0):
    """A source of sixteen days, 50 F but in the hours named."""
    short = sky(age_h=age_h)
    temps = np.full((1, HOURS), steady_f, np.float32)
    for moment, told in dict(temp_f).items():
        temps[0, hour(moment)] = told
    rain = np.full((1, HOURS), rain_in, np.float32)
    rain[0, -1] = np.nan
    return replace(short, temp_f=temps, rain_in=rain)


def hour(moment) -> int:
    return (moment - START) // timedelta(hours=1)


def look(forecast, *, cold_spot_f=0.0, reach=REACH, **gates):
    field = cotton(cold_spot_f=cold_spot_f)
    told = further_figures(
        forecast, {"f1": 0}, {"f1": reach}, [field], {"f1": rules(**gates)}, POLICY, NOW, "Another"
    )
    return told["f1"]


def test_freezes_and_the_coldest_hour_past_the_reach_are_told():
    sunday = SATURDAY_5_AM + timedelta(days=1)
    told = look(other({SATURDAY_5_AM: 31.0, sunday: 27.5}))

    assert told.first_utc == SATURDAY_5_AM
    assert told.killing_utc == sunday
    assert (told.low_f, told.low_utc) == (27.5, sunday)
    assert told.from_utc == REACH
    assert told.through_utc == START + timedelta(hours=HOURS)
    assert told.source == "Test sky"
    assert told.age_mark == "fresh"
    assert told.problem == ""


def test_hours_the_leader_tells_are_not_looked_at():
    before = REACH - timedelta(hours=1)
    told = look(other({before: 20.0, REACH: 33.0}))

    assert told.first_utc is None
    assert told.low_f == 33.0
    assert look(other({before: 20.0}), reach=before).killing_utc == before


def test_the_cold_spot_counts_at_night_alone():
    # 5 am is night and 1 pm is day at 34 N in October.
    one_pm = SATURDAY_5_AM - timedelta(hours=16)
    told = look(other({SATURDAY_5_AM: 34.0, one_pm: 33.0}), cold_spot_f=3.0)

    assert (told.low_f, told.low_utc) == (31.0, SATURDAY_5_AM)
    assert told.first_utc == SATURDAY_5_AM


def test_the_lines_are_those_of_the_field():
    told = look(other({SATURDAY_5_AM: 31.0}), freeze_f=30.0, killing_f=26.0)
    assert told.first_utc is None


def test_rain_is_the_total_of_the_hours_past_the_reach():
    # 384 hours from 11 am UTC on the 6th end on the 22nd at 11 am; from midnight on the 14th that
    # is 203, of which the last is not known: 202 x 0.01 inch.
    assert look(other(rain_in=0.01)).rain_in == pytest.approx(2.02, abs=0.005)


def test_rain_with_a_hole_is_not_known():
    forecast = other(rain_in=0.01)
    forecast.rain_in[0, 300] = np.nan
    assert look(forecast).rain_in is None


def test_a_hole_ends_what_it_holds_through_but_hides_no_freeze():
    forecast = other({SATURDAY_5_AM: 25.0})
    hole = SATURDAY_5_AM - timedelta(days=1)
    forecast.temp_f[0, hour(hole)] = np.nan
    told = look(forecast)

    assert told.through_utc == hole
    assert told.killing_utc == SATURDAY_5_AM


@pytest.mark.parametrize(
    ("age_h", "mark", "problem"),
    [(13.0, "old", ""), (71.0, "old", ""), (73.0, "very_old", TOO_OLD)],
)
def test_what_is_too_old_tells_no_number(age_h, mark, problem):
    told = look(other({SATURDAY_5_AM: 31.0}, age_h=age_h))

    assert told.age_mark == mark
    assert told.problem == problem
    assert (told.first_utc is None) == bool(problem)
    assert (told.low_f is None) == bool(problem)


def test_what_does_not_say_when_it_was_issued_tells_no_number():
    told = look(replace(other({SATURDAY_5_AM: 31.0}), issued_utc=(None,)))
    assert (told.problem, told.low_f, told.first_utc) == (AGE_NOT_KNOWN, None, None)


def test_without_an_answer_it_says_why_and_who_was_asked():
    forecast = other(steady_f=np.nan)
    told = look(replace(forecast, source=("",), issued_utc=(None,), problem=("no answer",)))
    assert (told.source, told.problem, told.low_f) == ("Another", "no answer", None)


def test_what_reaches_no_further_says_so():
    assert look(other(), reach=START + timedelta(hours=HOURS)).problem == NO_FURTHER
    assert look(other(), reach=START + timedelta(hours=HOURS + 50)).problem == NO_FURTHER


def test_the_leader_reaches_as_far_as_it_tells_any_temperature():
    windows = sky(hourly_until_h=150)
    windows.window_low_f[0, 190:] = np.nan
    # The last window of before hour 190 (local 4 am) holds hour 189.
    assert leader_reach_h(windows, 0) == 190
    dark = sky(hourly_until_h=150)
    dark.window_low_f[:] = np.nan
    assert leader_reach_h(dark, 0) == 150
    dark.temp_f[:] = np.nan
    assert leader_reach_h(dark, 0) == 0
