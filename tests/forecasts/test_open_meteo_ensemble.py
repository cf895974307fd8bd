from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from forecasts.errors import ForecastError
from forecasts.open_meteo_ensemble import read_ensemble
from forecasts.open_meteo_forecast import read_points
from tests.forecasts.answers import NOW, as_bytes
from tests.forecasts.point_answers import DAY, ensemble, open_meteo

CELL = "open_meteo:34.75,-101.75"
ISSUED = datetime(2026, 10, 6, 5, tzinfo=UTC)


def read(answer):
    (point,) = read_points(as_bytes(answer))
    return read_ensemble(point, cell_id=CELL, now=NOW, issued_utc=ISSUED)


def test_every_member_has_a_row_and_the_bare_name_is_one_of_them():
    told = read(
        ensemble(
            48,
            31,
            temperature_2m=[40.0] * 48,
            temperature_2m_member01=[41.0] * 48,
            temperature_2m_member30=[70.0] * 48,
        )
    )

    assert told.members == 31
    assert told.temp_f.shape == told.rain_in.shape == (31, 49)
    assert told.temp_f[0, 1] == pytest.approx(40.0)
    assert told.temp_f[1, 1] == pytest.approx(41.0)
    assert told.temp_f[30, 1] == pytest.approx(70.0)
    assert told.issued_utc == ISSUED


def test_rain_of_a_member_belongs_to_the_hour_before_its_time():
    rain_mm = [0.0] * 48
    rain_mm[9] = 2.54
    told = read(ensemble(48, 3, precipitation_member02=rain_mm))
    eight = (DAY + timedelta(hours=8) - told.start_utc) // timedelta(hours=1)

    assert told.rain_in[2, eight] == pytest.approx(0.1)
    assert np.nansum(told.rain_in) == pytest.approx(0.1)


def test_a_member_without_a_quantity_is_not_known_there():
    answer = ensemble(48, 3)
    del answer["hourly"]["precipitation_member02"]
    told = read(answer)

    assert np.isnan(told.rain_in[2]).all()
    assert not np.isnan(told.rain_in[1, :48]).any()
    assert not np.isnan(told.temp_f[2, 1:]).any()


def test_a_member_beyond_what_can_be_true_is_refused_alone():
    told = read(ensemble(48, 3, temperature_2m_member01=[400.0] * 48))

    assert np.isnan(told.temp_f[1]).all()
    assert not np.isnan(told.temp_f[[0, 2], 1:]).any()
    assert "temperature: got 400, wanted -60 to 135" in told.rejected


def test_members_of_several_models_are_refused():
    answer = open_meteo(48)
    answer["hourly"] = {
        "time": answer["hourly"]["time"],
        "temperature_2m_member01_gfs05": [50.0] * 48,
        "temperature_2m_gfs05": [50.0] * 48,
    }
    with pytest.raises(ForecastError, match="no members"):
        read(answer)
