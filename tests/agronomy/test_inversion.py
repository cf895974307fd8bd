"""Inversion risk from the time of day, wind and cloud."""

import numpy as np
import pytest

from agronomy.inversion import LIKELY, LOW, NOT_KNOWN, inversion_risk
from agronomy.sun import SunHours

NAN = np.nan
#: daylight, hours after sunrise, hours before sunset.
TIMES = {
    "noon": (1, 6, 5),
    "midnight": (0, 18, -5),
    "before dawn": (0, 23, 13),
    "early morning": (1, 1.5, 9),
    "late afternoon": (1, 8, 3.5),
}


def risk(time, wind_mph, sky_pct):
    daylight, after, before = TIMES.get(time, (NAN, NAN, NAN))
    sun = SunHours(
        np.array([[daylight]], float),
        np.array([[after]], float),
        np.array([[before]], float),
        np.array([[-1]]),
    )
    return inversion_risk(np.array([[wind_mph]]), np.array([[sky_pct]]), sun)[0, 0]


@pytest.mark.parametrize("time", [one for one in TIMES if one != "noon"])
@pytest.mark.parametrize(
    ("wind_mph", "sky_pct", "expected"),
    [
        pytest.param(2.9, 10, LIKELY, id="calm and clear, NDSU 2021"),
        pytest.param(8, 10, LIKELY, id="windy but clear: wind and cloud must both speak, S34c"),
        pytest.param(2, 90, LIKELY, id="cloudy but calm, S34c"),
        pytest.param(3, 40, LOW, id="wind and cloud at the limits"),
        pytest.param(NAN, 10, LIKELY, id="clear is enough, whatever the wind"),
        pytest.param(2, NAN, LIKELY, id="calm is enough, whatever the cloud"),
        pytest.param(NAN, 90, NOT_KNOWN, id="cloudy, wind lost"),
        pytest.param(8, NAN, NOT_KNOWN, id="windy, cloud lost"),
        pytest.param(NAN, NAN, NOT_KNOWN, id="both lost"),
    ],
)
def test_nights_and_their_edges_are_judged_by_wind_and_cloud(time, wind_mph, sky_pct, expected):
    assert risk(time, wind_mph, sky_pct) == expected


@pytest.mark.parametrize(("wind_mph", "sky_pct"), [(0, 0), (8, 90), (NAN, NAN)])
def test_the_middle_of_the_day_has_none_to_expect(wind_mph, sky_pct):
    assert risk("noon", wind_mph, sky_pct) == LOW


def test_without_the_sun_only_wind_and_cloud_together_rule_it_out():
    assert risk("no sun", 8, 90) == LOW
    assert risk("no sun", 1, 5) == NOT_KNOWN


def test_the_three_answers_are_three_codes():
    assert sorted({int(LOW), int(LIKELY), int(NOT_KNOWN)}) == [-1, 0, 1]
