"""A big farm is looked at some fields after the others; what comes out must not know."""

from dataclasses import replace
from datetime import timedelta
from uuid import NAMESPACE_URL, uuid5

import numpy as np
import pytest
from skies import NOW, cotton, morning, sky, visit

from agronomy.hourly_forecast import HourlyForecast
from dispatch.report import Call, MorningReport
from farm.records import Spray

#: Fields of the farm, more than three parts of seven.
FIELDS = 24
#: More than there are fields: all of them together.
ALL = 1000


def _own_skies() -> HourlyForecast:
    """A sky of its own over every field, in some of them with a freeze, a hole or rain."""
    base = sky(FIELDS, lows_f=(56, 56, 54, 50, 46, 44, 40, 38, 33, 33))
    colder = np.linspace(-8, 4, FIELDS, dtype=np.float32)[:, None]
    temp, wind, rain = base.temp_f + colder, base.wind_mph.copy(), base.rain_chance_pct.copy()
    temp[2::11, :3] = 26
    wind[4::7, 5] = np.nan
    rain[5::6, 20:80] = 60
    window = base.window_low_f + colder
    return replace(base, temp_f=temp, window_low_f=window, wind_mph=wind, rain_chance_pct=rain)


def _morning(at_once: int) -> MorningReport:
    fields = [
        cotton(number, acres=40 + 7 * (number % 9), cold_spot_f=2.0 * (number % 3)).model_copy(
            update={"latitude": 33 + 0.04 * number, "longitude": -101.5 + 0.05 * number}
        )
        for number in range(FIELDS)
    ]
    ripening = [
        visit(one.id, nacb=1.5 + 0.25 * number, percent_open=None)
        for number, one in enumerate(fields)
        if number != 7
    ]
    sprayed = Spray(
        uuid=uuid5(NAMESPACE_URL, "sprayed"),
        field_id="f9",
        sprayed_utc=NOW - timedelta(days=7),
        treatment_id="mix",
    )
    return morning(_own_skies(), fields, ripening, sprays=[sprayed], at_once=at_once)


@pytest.mark.parametrize("at_once", [1, 7])
def test_a_farm_looked_at_in_parts_has_the_very_same_morning(at_once: int) -> None:
    assert _morning(at_once).model_dump_json() == _morning(ALL).model_dump_json()


def test_the_farm_looked_at_in_parts_has_every_call_and_both_lists_beside_the_order() -> None:
    """Otherwise its parts would prove little."""
    report = _morning(ALL)

    assert {one.call for one in report.fields} == set(Call)
    assert (report.run.frozen, report.run.sprayed) == (2, 1)


def test_a_field_is_told_the_same_nights_beside_one_that_sees_one_sunrise_more() -> None:
    """Over the western field the sun rises in the first hour of the forecast, east before it."""
    fields = [cotton(1), cotton(2)]
    east, west = (
        one.model_copy(update={"longitude": longitude, "latitude": 34.0})
        for one, longitude in zip(fields, (-75.0, -79.0), strict=True)
    )
    apart, together = (
        morning(sky(2), [east, west], at_once=at_once).model_dump_json() for at_once in (1, ALL)
    )

    assert apart == together
