"""Rain given as totals of several hours must not pass for dry."""

import numpy as np
import pytest

from agronomy.rain_share import counted_rain_in


def hours(**rain: float) -> np.ndarray:
    """Twenty dry hours with some of them set: ``h5=0.01``."""
    values = np.zeros((1, 20))
    for name, amount in rain.items():
        values[0, int(name[1:])] = amount
    return values


def test_a_shared_out_total_counts_in_each_of_its_hours():
    """0.05 inch over six hours, the usual form of the US Weather Service."""
    rain = hours(**{f"h{hour}": 0.05 / 6 for hour in range(6, 12)})

    assert (counted_rain_in(rain, 0.01)[0, 6:12] == 0.01).all()
    assert (counted_rain_in(rain, 0.01)[0, :6] == 0).all()
    assert (counted_rain_in(rain, 0.01)[0, 12:] == 0).all()


def test_a_trace_that_never_adds_up_stays_as_it_is():
    rain = hours(h5=0.004)

    assert counted_rain_in(rain, 0.01)[0, 5] == pytest.approx(0.004)


def test_a_wet_hour_keeps_its_amount():
    assert counted_rain_in(hours(h5=0.3), 0.01)[0, 5] == pytest.approx(0.3)


def test_a_trace_beside_an_unknown_hour_is_unknown():
    rain = hours(h5=0.004, h8=np.nan)

    assert np.isnan(counted_rain_in(rain, 0.01)[0, [5, 8]]).all()
    assert counted_rain_in(hours(h5=0.004, h11=np.nan), 0.01)[0, 5] == pytest.approx(0.004)
