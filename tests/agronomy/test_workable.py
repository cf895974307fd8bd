"""Hours a sprayer may work in."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from agronomy.moist_air import SEA_LEVEL_HPA, delta_t_f
from agronomy.sun import SunHours
from agronomy.three_valued import NO, UNKNOWN, YES
from agronomy.thresholds import SprayGates
from agronomy.workable import first_reason, workable_hours

GATES = SprayGates()
#: A good spraying hour; Delta T about 8 F.
GOOD = {
    "temp_f": 75.0,
    "humidity_pct": 60.0,
    "wind_mph": 6.0,
    "gust_mph": 10.0,
    "rain_in": 0.0,
}


def _sun(after=4.0, before=5.0, daylight=1.0):
    return SunHours(
        daylight=np.array([[daylight]]),
        after_sunrise_h=np.array([[after]]),
        before_sunset_h=np.array([[before]]),
        dawn_h=np.array([[-1]]),
    )


def _hour(sun=None, gates=GATES, pressure_hpa=920.0, **changes):
    values = {name: np.array([[value]]) for name, value in (GOOD | changes).items()}
    return workable_hours(**values, pressure_hpa=pressure_hpa, sun=sun or _sun(), gates=gates)


def _told(workable):
    return workable.gate[0, 0], first_reason(workable)[0, 0]


def test_a_good_hour_can_be_worked():
    assert _told(_hour()) == (YES, "")


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"wind_mph": 10.1}, "wind too strong"),
        ({"wind_mph": 2.9}, "wind too light"),
        ({"gust_mph": 15.1}, "gusts"),
        ({"rain_in": 0.01}, "rain"),
        ({"humidity_pct": 10.0, "temp_f": 95.0}, "air too dry"),
        ({"humidity_pct": 97.0}, "air too damp"),
    ],
)
def test_an_hour_outside_a_limit_is_refused_with_its_reason(changes, reason):
    assert _told(_hour(**changes)) == (NO, reason)


# Georgia extension 2021: 3 to 10 mph. Common practice, no source: gusts to 15 mph.
@pytest.mark.parametrize("changes", [{"wind_mph": 3.0}, {"wind_mph": 10.0}, {"gust_mph": 15.0}])
def test_an_hour_on_a_limit_can_be_worked(changes):
    assert _told(_hour(**changes)) == (YES, "")


def test_a_limit_survives_unit_conversion():
    ten = np.float32(16.09344) * np.float32(0.62137119) + np.float32(1e-6)
    assert _told(_hour(wind_mph=float(ten)))[0] == YES
    assert _told(_hour(wind_mph=2.9999998))[0] == YES
    assert _told(_hour(rain_in=float(np.float32(0.01)))) == (NO, "rain")


@pytest.mark.parametrize(
    ("sun", "reason"),
    [
        (_sun(daylight=0.0), "daylight"),
        (_sun(after=1.4), "inversion risk near sunrise or sunset"),
        (_sun(before=1.9), "inversion risk near sunrise or sunset"),
        (_sun(daylight=0.0, before=-1.0), "daylight"),
    ],
)
def test_the_sun_closes_an_hour(sun, reason):
    assert _told(_hour(sun=sun)) == (NO, reason)


@pytest.mark.parametrize(
    ("name", "reason"),
    [
        ("temp_f", "not known: air too dry"),
        ("humidity_pct", "not known: air too dry"),
        ("wind_mph", "not known: wind too strong"),
        ("gust_mph", "not known: gusts"),
        ("rain_in", "not known: rain"),
    ],
)
def test_a_missing_value_makes_the_hour_unknown(name, reason):
    assert _told(_hour(**{name: np.nan})) == (UNKNOWN, reason)


def test_an_unknown_sun_makes_the_hour_unknown():
    told = _told(_hour(sun=_sun(np.nan, np.nan, np.nan)))
    assert told == (UNKNOWN, "not known: daylight")


def test_a_known_no_outranks_an_unknown_told_earlier():
    assert _told(_hour(rain_in=np.nan, gust_mph=30.0)) == (NO, "gusts")


def test_cold_stops_a_start_only_when_a_limit_is_set():
    assert _told(_hour(temp_f=52.0))[0] == YES
    assert "too cold to start" not in _hour().parts
    gates = SprayGates(start_temp_min_f=55.0)
    assert _told(_hour(temp_f=52.0, gates=gates)) == (NO, "too cold to start")


def test_reasons_are_told_in_one_order():
    gates = SprayGates(start_temp_min_f=55.0)
    assert list(_hour(gates=gates).parts) == [
        "daylight",
        "inversion risk near sunrise or sunset",
        "rain",
        "wind too strong",
        "wind too light",
        "gusts",
        "air too dry",
        "air too damp",
        "too cold to start",
    ]


def test_cells_and_hours_keep_their_shape():
    shape = (3, 5)
    values = {name: np.full(shape, value) for name, value in GOOD.items()}
    values["rain_in"][1, 2] = 0.2
    sun = SunHours(np.ones(shape), np.full(shape, 4.0), np.full(shape, 4.0), np.full((3, 1), -1))
    pressure = np.array([[900.0], [np.nan], [1000.0]])
    got = workable_hours(**values, pressure_hpa=pressure, sun=sun, gates=GATES)
    assert got.gate.shape == first_reason(got).shape == shape
    assert (got.gate == NO).sum() == 1
    assert first_reason(got)[1, 2] == "rain"


def test_an_unknown_elevation_is_taken_as_sea_level():
    dry = {"temp_f": 92.0, "humidity_pct": 36.0}
    assert _told(_hour(pressure_hpa=np.nan, **dry)) == _told(
        _hour(pressure_hpa=SEA_LEVEL_HPA, **dry)
    )


@pytest.mark.parametrize(
    ("limit_f", "least", "most"),
    [(GATES.delta_t_min_f, 0.0, 0.3), (GATES.delta_t_max_f, 0.4, 1.3)],
    ids=["damp limit", "dry limit"],
)
def test_sea_level_reads_delta_t_too_low_by_what_the_docstring_says(limit_f, least, most):
    temps, humidity = np.meshgrid(np.arange(50.0, 106.0), np.arange(5.0, 100.0))
    at_sea = delta_t_f(temps, humidity, SEA_LEVEL_HPA)
    short = delta_t_f(temps, humidity, 900.0) - at_sea
    near = np.abs(at_sea - limit_f) < 0.3
    assert near.sum() > 20
    assert least <= short[near].min() <= short[near].max() <= most


@given(
    st.fixed_dictionaries(
        {
            "temp_f": st.floats(min_value=30, max_value=105),
            "humidity_pct": st.floats(min_value=5, max_value=100),
            "wind_mph": st.floats(min_value=0, max_value=20),
            "gust_mph": st.floats(min_value=0, max_value=30),
            "rain_in": st.sampled_from([0.0, 0.3]),
        }
    ),
    st.sampled_from(list(GOOD)),
)
def test_losing_a_value_never_opens_an_hour(values, lost):
    before, after = _told(_hour(**values)), _told(_hour(**(values | {lost: np.nan})))
    assert after[0] != YES
    assert (before[0] != NO) <= (after[0] == UNKNOWN)
