"""Dew and inversions kept beside the hours of a field."""

from dataclasses import replace

import numpy as np
import pytest
from skies import cotton, morning, only_call, rules, sky, with_hours

from dispatch.damp_air import damp_air
from dispatch.outlook import field_outlook
from dispatch.report import FieldCall


def strip_of(forecast):
    strip = only_call(morning(forecast)).strip
    assert strip is not None
    return strip


def test_the_strip_holds_humidity_cloud_dew_and_inversion_of_every_hour():
    strip = strip_of(sky())
    hours = len(strip.spray)
    assert strip.humidity_pct == (55,) * hours
    assert strip.sky_pct == (10,) * hours
    assert len(strip.leaf_wet) == len(strip.inversion) == hours


def test_dew_is_likely_in_the_damp_hours_of_the_night_only():
    """At 89 % the air is within 3.6 F of its dew point up to 84 F (ASHRAE's equations), and
    nights here are cooler. Sunrise 7:41 am and sunset 7:18 pm at this place and date: from 8 am
    to 7 pm the hours are whole hours of day."""
    strip = strip_of(with_hours(sky(), "humidity_pct", slice(None), 89))
    assert strip.leaf_wet[:24] == "y" + "n" * 11 + "y" * 12
    assert set(strip_of(sky()).leaf_wet) == {"n"}


def test_ninety_percent_wets_leaves_by_day():
    strip = strip_of(with_hours(sky(), "humidity_pct", slice(5, 7), 92))
    assert strip.leaf_wet[:8] == "nnnnyynn"


def test_an_inversion_is_likely_but_for_the_middle_of_a_clear_day():
    """Sunrise 7:41 am and two hours, sunset 7:18 pm less four: whole hours from 10 am to 3 pm."""
    strip = strip_of(sky())
    assert strip.inversion[:24] == "yyy" + "n" * 5 + "y" * 16


def test_wind_and_cloud_together_keep_the_air_mixed():
    strip = strip_of(with_hours(sky(), "sky_pct", slice(None), 90))
    assert set(strip.inversion) == {"n"}


@pytest.mark.parametrize("lost", ["humidity_pct", "temp_f"])
def test_lost_hours_of_the_night_are_not_known_to_be_dry(lost):
    strip = strip_of(with_hours(sky(), lost, slice(18, 20), np.nan))
    assert strip.leaf_wet[16:20] == "n??n"


def test_lost_wind_and_cloud_leave_the_inversion_not_known_outside_midday():
    cloudy = with_hours(sky(), "sky_pct", slice(None), 90)
    calm_or_not = with_hours(cloudy, "wind_mph", slice(None), np.nan)
    assert strip_of(calm_or_not).inversion[:9] == "???nnnnn?"


def test_where_no_sunrise_is_told_only_air_that_is_wet_by_day_is_wet():
    forecast = with_hours(sky(), "humidity_pct", slice(None), 89)
    forecast = with_hours(forecast, "humidity_pct", slice(3, 4), 95)
    forecast = with_hours(forecast, "humidity_pct", slice(4, 5), 30)
    one = cotton()
    outlook = field_outlook(forecast, {one.id: 0}, [one], {one.id: rules()})
    dark = replace(outlook, sun=replace(outlook.sun, daylight=outlook.sun.daylight * np.nan))
    assert damp_air(dark, 0, 2, 4).leaf_wet == "?yn?"


def test_a_call_kept_before_there_were_any_of_these_can_still_be_read():
    """A plan stored by the version before holds neither dew nor bounds of washing rain."""
    kept = only_call(morning(sky())).model_dump(mode="json")
    for name in ("humidity_pct", "sky_pct", "leaf_wet", "inversion"):
        del kept["strip"][name]
    for name in ("wash_low_pct", "wash_high_pct"):
        del kept["factors_now"][name]

    call = FieldCall.model_validate(kept)
    assert (call.strip.leaf_wet, call.strip.sky_pct) == ("", ())
    assert call.factors_now.wash_low_pct is None
