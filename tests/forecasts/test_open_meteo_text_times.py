"""Answers of Open-Meteo whose times are text: read in GMT, refused in any other zone."""

import json
import re
from datetime import UTC, datetime

import numpy as np
import pytest

from agronomy.hourly_forecast import QUANTITIES
from forecasts.cells import cell_holds
from forecasts.errors import ForecastError
from forecasts.open_meteo_forecast import read_forecast, read_points
from tests.forecasts.answers import NOW, as_bytes
from tests.forecasts.point_answers import DAY, open_meteo

CELL = "open_meteo:52.525,13.425"


def read(answer, issued_utc=None):
    (point,) = read_points(as_bytes(answer))
    return read_forecast(point, cell_id=CELL, now=NOW, issued_utc=issued_utc)


def as_text(answer, ending=""):
    """The same answer with its times as text."""
    times = [datetime.fromtimestamp(one, UTC) for one in answer["hourly"]["time"]]
    answer["hourly"]["time"] = [f"{one:%Y-%m-%dT%H:%M}{ending}" for one in times]
    answer["hourly_units"] |= {"time": "iso8601"}
    return answer


@pytest.mark.parametrize("ending", ["", "Z", "+00:00"])
@pytest.mark.parametrize("zone", ["GMT", "UTC"])
def test_text_in_gmt_is_read_as_seconds_are(ending, zone):
    told = [40.0 + hour for hour in range(48)]
    text = read(as_text(open_meteo(48, temperature_2m=told), ending) | {"timezone": zone})
    seconds = read(open_meteo(48, temperature_2m=told))

    assert text.start_utc == seconds.start_utc
    assert text.rejected == seconds.rejected
    for name in QUANTITIES:
        np.testing.assert_array_equal(text.hourly[name], seconds.hourly[name])
    at = int((DAY - text.start_utc).total_seconds() // 3600)
    assert text.hourly["temp_f"][at : at + 3].tolist() == [40.0, 41.0, 42.0]


@pytest.mark.parametrize(
    "change",
    [
        {"timezone": "America/Chicago", "utc_offset_seconds": -18000},
        {"timezone": "America/Chicago"},
        {"utc_offset_seconds": -18000},
    ],
)
def test_text_in_local_time_is_refused(change):
    with pytest.raises(ForecastError, match="wrong across a change of clocks"):
        read(as_text(open_meteo()) | change)


@pytest.mark.parametrize(
    "time",
    [
        "2026-10-06T00:00-05:00",
        "2026-10-06T00:30",
        "tomorrow",
        "",
        5,
        None,
        "0001-01-01T00:00",
        "9999-12-31T23:00",
    ],
)
def test_text_that_is_no_hour_in_gmt_is_refused(time):
    answer = as_text(open_meteo(3))
    answer["hourly"]["time"][1] = time
    with pytest.raises(ForecastError, match="hours"):
        read(answer)


def recorded(recorded_answers, name: str) -> dict:
    text = (recorded_answers / "payloads" / "open_meteo" / name).read_text("utf-8")
    body = text[text.index("string: '{") + len("string: '") : text.rindex("}'") + 1]
    # The recorder broke long lines at blanks.
    return json.loads(re.sub(r"\n +", " ", body))


NAMES = ("ruby_vcr_general.yml", "ruby_vcr_dwd_icon.yml")


@pytest.mark.parametrize("name", NAMES)
def test_a_recorded_answer_is_read_as_it_came(recorded_answers, name):
    answer = recorded(recorded_answers, name)
    # Both were asked for weather codes alone, by text in GMT, from 2023-11-13T00:00 to
    # 2023-11-19T23:00.
    assert set(answer["hourly"]) == {"time", "weather_code"}
    cell = read(answer)

    assert cell.start_utc == datetime(2023, 11, 13, tzinfo=UTC)
    assert set(cell.hourly) == set(QUANTITIES)
    for values in cell.hourly.values():
        assert values.dtype == np.float32
        assert values.shape == (168,)
        assert np.isnan(values).all()
    missing = [one for one in cell.rejected if one.endswith(": missing from the answer")]
    assert len(missing) == 8
    assert "temperature: missing from the answer" in missing
    # latitude 52.52, longitude 13.419998; elevation 38.0 m is 124.67 ft.
    assert cell_holds(CELL, cell.outline, 52.52, 13.42)
    assert cell.elevation_ft == pytest.approx(124.67, abs=0.005)


@pytest.mark.parametrize("name", NAMES)
def test_a_recorded_answer_is_laid_on_its_own_hours(recorded_answers, name):
    answer = recorded(recorded_answers, name)
    # A column of its codes (hourly.weather_code: 2, 3, 3, 2, 2, 1, ... and 61 at the end) stands
    # for percent of cloud, so that something is there to be read.
    answer["hourly"]["cloud_cover"] = answer["hourly"]["weather_code"]
    answer["hourly_units"] |= {"cloud_cover": "%"}
    cell = read(answer)

    assert cell.start_utc == datetime(2023, 11, 13, tzinfo=UTC)
    assert len(cell.hourly["sky_pct"]) == 168
    assert cell.hourly["sky_pct"][:6].tolist() == [2, 3, 3, 2, 2, 1]
    assert cell.hourly["sky_pct"][-1] == 61
    assert np.isnan(cell.hourly["temp_f"]).all()
