"""Answers of the weather service recorded by others, read; they are not part of the project."""

import json
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from forecasts.nws_answer import read_point
from forecasts.nws_forecast import read_forecast

NOW = datetime(2026, 11, 25, tzinfo=UTC)
NAMES = (
    "BMX_32_69__2024-02-23",
    "FGZ_74_89__2024-02-20",
    "FWD_89_104__handedited-times",
    "LWX_95_71__trimmed-layers",
    "LZK_83_73__2024-02-20",
    "MTR_90_105__2024-03-templated",
    "OHX_14_55__2024-01-08",
    "OKX_1_1__2026-03-templated",
    "TBW_93_38__pynws-old",
)


@pytest.fixture
def answer(recorded_answers):
    """Reads one recorded gridpoint answer by name."""

    def body(name: str) -> bytes:
        return (recorded_answers / "payloads" / "nws_gridpoints" / f"{name}.json").read_bytes()

    return body


@pytest.mark.parametrize("name", NAMES)
def test_rain_totals_are_conserved(answer, name):
    body = answer(name)
    told = json.loads(body)["properties"]["quantitativePrecipitation"]["values"]
    cell = read_forecast(body, now=NOW)

    total_in = sum(one["value"] for one in told) / 25.4
    assert float(np.nansum(cell.hourly["rain_in"], dtype=float)) == pytest.approx(
        total_in, abs=1e-6
    )


@pytest.mark.parametrize("name", NAMES)
def test_every_answer_is_read_without_a_layer_refused(answer, name):
    cell = read_forecast(answer(name), now=NOW)

    assert cell.rejected == ()
    assert cell.issued_utc is not None
    assert len(cell.outline) == 5
    assert (~np.isnan(cell.hourly["temp_f"])).sum() > 90


#: Read by eye in LZK_83_73__2024-02-20: (quantity, hour UTC, house value worked by hand).
BY_EYE = [
    ("temp_f", "2024-02-20T11", 36.0),  # 2.222 C
    ("temp_f", "2024-02-20T12", 35.0),  # 1.667 C
    ("temp_f", "2024-02-21T08", 46.0),  # 7.778 C for 07Z to 09Z
    ("wind_mph", "2024-02-20T12", 1.1508),  # 1.852 km/h, one knot
    ("wind_mph", "2024-02-22T19", 17.2617),  # 27.78 km/h, 15 knots
    ("gust_mph", "2024-02-21T22", 21.8648),  # 35.188 km/h, 19 knots
    ("humidity_pct", "2024-02-20T12", 90.0),
    ("rain_in", "2024-02-20T15", 0.0),
    ("rain_in", "2024-02-22T12", 0.01 / 6),  # 0.254 mm over 12Z to 18Z
    ("rain_in", "2024-02-22T17", 0.01 / 6),
    ("rain_chance_pct", "2024-02-21T23", 0.0),  # 0 for 37 h from 11Z
    ("rain_chance_pct", "2024-02-22T00", 2.0),
    ("rain_chance_pct", "2024-02-22T06", 9.0),
    ("window_low_f", "2024-02-21T01", 43.0),  # 6.111 C for 14 h from 01Z
    ("window_low_f", "2024-02-21T14", 43.0),
    ("window_low_f", "2024-02-21T15", np.nan),
    ("window_low_f", "2024-02-20T11", np.nan),  # the first window is a stub of 4 h
]


@pytest.mark.parametrize(("quantity", "hour", "value"), BY_EYE)
def test_hours_read_by_eye_in_the_answer_agree(answer, quantity, hour, value):
    cell = read_forecast(answer("LZK_83_73__2024-02-20"), now=NOW)
    moment = datetime.fromisoformat(f"{hour}:00:00+00:00")

    got = float(cell.hourly[quantity][(moment - cell.start_utc) // timedelta(hours=1)])
    assert got == pytest.approx(value, abs=5e-5, nan_ok=True)


def test_rain_is_not_known_after_its_layer_ends(answer):
    # LZK: 19 intervals from 2024-02-20 11Z to 02-25 00Z, while temperature runs to 02-28 13Z.
    cell = read_forecast(answer("LZK_83_73__2024-02-20"), now=NOW)

    assert not np.isnan(cell.hourly["rain_in"][:109]).any()
    assert np.isnan(cell.hourly["rain_in"][109:]).all()
    assert not np.isnan(cell.hourly["temp_f"][109:194]).any()


def test_the_elevation_is_in_feet(answer):
    # FGZ: 2129.9424 m, which is 6988 ft.
    assert read_forecast(answer("FGZ_74_89__2024-02-20"), now=NOW).elevation_ft == pytest.approx(
        6988, abs=0.01
    )


def test_a_recorded_point_names_its_cell(recorded_answers):
    file = recorded_answers / "payloads" / "nws_other" / "points_LZK_littlerock.json"
    name = read_point(file.read_bytes())

    assert name.cell_id == "nws:LZK/83,73"
    assert name.time_zone == "America/Chicago"
