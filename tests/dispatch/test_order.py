"""Who comes first: the field that loses most for each hour of rig time."""

from dataclasses import replace

import numpy as np
import pytest
from skies import POLICY, cotton, morning, sky, visit, with_hours

from dispatch.report import Call

COOLING = (56, 56, 54, 50, 46, 44, 40, 38, 33, 33)


def ranked(report):
    return [one.field.id for one in report.fields if one.rank is not None]


def test_the_hollow_that_freezes_first_goes_first():
    """The hollow, 6 F colder at night, loses more at the back of the line."""
    farm = [cotton(1), cotton(2, cold_spot_f=6), cotton(3, cold_spot_f=3)]
    report = morning(sky(cells=3, lows_f=COOLING), farm)
    points = [one.order_points for one in report.fields if one.rank is not None]

    assert ranked(report) == ["f2", "f3", "f1"]
    assert points == sorted(points, reverse=True)


def test_a_short_field_stands_in_the_same_order_by_the_same_number():
    lows = (56, 56, 54, 50, 46, 44, 40, 36, 40, 40)
    report = morning(sky(cells=2, lows_f=lows), [cotton(1), cotton(2, cold_spot_f=5)])

    assert [(one.field.id, one.call) for one in report.fields] == [
        ("f2", Call.SHORT),
        ("f1", Call.SPRAY),
    ]


def test_among_equals_the_earlier_spray_by_goes_first_then_the_riper():
    """The second field's wind rises at 2 pm, the third is riper than the first."""
    farm = [cotton(1), cotton(2), cotton(3)]
    forecast = sky(cells=3, lows_f=(*COOLING[:8], 30, 30))
    wind = forecast.wind_mph.copy()
    wind[1, 8:] = 14
    visits = [visit("f1", nacb=3.5), visit("f2", nacb=3.5), visit("f3", nacb=1.0)]
    report = morning(replace(forecast, wind_mph=wind), farm, visits)

    assert ranked(report) == ["f2", "f3", "f1"]


def test_unknown_comes_first_and_waiting_fields_by_their_day():
    farm = [cotton(number) for number in range(1, 6)]
    visits = [
        visit("f1"),
        visit("f3", nacb=8.0, percent_open=25),
        visit("f4", nacb=5.0, percent_open=48),
        visit("f5"),
    ]
    forecast = sky(cells=5)
    rain = forecast.rain_in.copy()
    rain[4, :60] = np.nan
    report = morning(replace(forecast, rain_in=rain), farm, visits)

    assert [one.field.id for one in report.fields] == ["f5", "f2", "f1", "f4", "f3"]
    assert [one.call for one in report.fields[:3]] == [Call.UNKNOWN, Call.UNKNOWN, Call.SPRAY]


def test_a_field_to_walk_is_told_the_place_it_would_take():
    farm = [cotton(1, cold_spot_f=6), cotton(2, cold_spot_f=4), cotton(3)]
    visits = [visit("f1"), visit("f2", nacb=4.6, percent_open=54), visit("f3")]
    report = morning(sky(cells=3, lows_f=COOLING), farm, visits)
    (walk,) = report.with_call(Call.LOOK)

    assert (walk.field.id, walk.place_if_mature) == ("f2", 2)


def test_rain_shared_out_over_six_hours_is_no_dry_window():
    """0.05 inch from 6 pm to midnight on both days: each hour holds 0.008 inch."""
    wet = sky()
    for first in (12, 36):
        wet = with_hours(wet, "rain_in", slice(first, first + 6), 0.05 / 6)
    report = morning(wet)

    assert morning(sky()).fields[0].call is Call.SPRAY
    assert report.fields[0].call is not Call.SPRAY
    assert not [window for window in report.fields[0].windows if window.full]


@pytest.mark.parametrize(("tie", "first"), [(0.0, "f1"), (50.0, "f2")])
def test_how_close_counts_as_a_tie_can_be_set(tie, first):
    """The first field is a little bigger and so loses a little more an hour; the second's
    spray-by comes earlier."""
    farm = [cotton(1, acres=120), cotton(2, acres=110)]
    forecast = sky(cells=2, lows_f=(*COOLING[:8], 30, 30))
    wind = forecast.wind_mph.copy()
    wind[1, 8:] = 14
    policy = POLICY.model_copy(update={"tie_points": tie})
    report = morning(replace(forecast, wind_mph=wind), farm, policy=policy)

    assert ranked(report)[0] == first
