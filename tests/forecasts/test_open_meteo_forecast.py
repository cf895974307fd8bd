import contextlib
import json
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from forecasts.cells import cell_holds
from forecasts.errors import ForecastError
from forecasts.open_meteo_forecast import read_forecast, read_points
from tests.forecasts.answers import LATITUDE, LONGITUDE, NOW, as_bytes
from tests.forecasts.point_answers import DAY, open_meteo

ISSUED = datetime(2026, 10, 6, 5, tzinfo=UTC)
CELL = "open_meteo:34.75,-101.75"


def read(answer, issued_utc=ISSUED):
    (point,) = read_points(as_bytes(answer))
    return read_forecast(point, cell_id=CELL, now=NOW, issued_utc=issued_utc)


def at(cell, name: str, moment: datetime) -> float:
    return float(cell.hourly[name][(moment - cell.start_utc) // timedelta(hours=1)])


def steady(hours: int, value: float, **others: float) -> list[float | None]:
    told = [value] * hours
    for hour, other in others.items():
        told[int(hour[1:])] = other
    return told


def test_an_instant_holds_for_the_hour_it_begins():
    cell = read(open_meteo(temperature_2m=steady(72, 68.0, h9=41.0)))

    assert at(cell, "temp_f", DAY + timedelta(hours=9)) == pytest.approx(41.0)
    assert at(cell, "temp_f", DAY + timedelta(hours=8)) == pytest.approx(68.0)
    assert at(cell, "temp_f", DAY + timedelta(hours=10)) == pytest.approx(68.0)


def test_rain_gusts_and_chances_belong_to_the_hour_before_their_time():
    cell = read(
        open_meteo(
            precipitation=steady(72, 0.0, h9=2.54),
            wind_gusts_10m=steady(72, 11.0, h9=24.0),
            precipitation_probability=steady(72, 5, h9=80),
        )
    )
    eight = DAY + timedelta(hours=8)

    assert at(cell, "rain_in", eight) == pytest.approx(0.1)
    assert at(cell, "gust_mph", eight) == pytest.approx(24.0)
    assert at(cell, "rain_chance_pct", eight) == 80
    assert at(cell, "rain_in", eight + timedelta(hours=1)) == 0


def test_the_chance_is_that_of_its_one_hour():
    cell = read(open_meteo(precipitation_probability=steady(72, 5, h9=None)))
    first = (cell.start_utc - datetime(1970, 1, 1, tzinfo=UTC)) // timedelta(hours=1)
    hours = cell.hourly["rain_chance_from_h"]

    assert np.array_equal(hours[:8], np.arange(first, first + 8, dtype=np.float32))
    assert np.isnan(at(cell, "rain_chance_pct", DAY + timedelta(hours=8)))
    assert np.isnan(at(cell, "rain_chance_from_h", DAY + timedelta(hours=8)))


def test_the_rain_total_is_conserved():
    told = [0.1 * (hour % 7) for hour in range(72)]
    cell = read(open_meteo(precipitation=told))

    assert float(np.nansum(cell.hourly["rain_in"], dtype=float)) == pytest.approx(
        sum(told) / 25.4, abs=1e-6
    )


def test_the_first_total_reaches_back_before_the_first_instant():
    cell = read(open_meteo())

    assert cell.start_utc == DAY - timedelta(hours=1)
    assert np.isnan(cell.hourly["temp_f"][0])
    assert cell.hourly["rain_in"][0] == 0


@pytest.mark.parametrize(
    ("key", "unit", "told", "name", "house"),
    [
        pytest.param("temperature_2m", "°C", 5.0, "temp_f", 41.0, id="C"),
        pytest.param("temperature_2m", "°F", 41.0, "temp_f", 41.0, id="F"),
        # A mile is 1609.344 m: 16.09344 km/h are 10 mph, 4.4704 m/s too; 10 kn are 11.50779 mph.
        pytest.param("wind_speed_10m", "km/h", 16.09344, "wind_mph", 10.0, id="km/h"),
        pytest.param("wind_speed_10m", "m/s", 4.4704, "wind_mph", 10.0, id="m/s"),
        pytest.param("wind_speed_10m", "kn", 10.0, "wind_mph", 11.50779, id="knots"),
        pytest.param("wind_speed_10m", "mp/h", 10.0, "wind_mph", 10.0, id="mph"),
        pytest.param("precipitation", "inch", 0.25, "rain_in", 0.25, id="inch"),
        pytest.param("precipitation", "mm", 6.35, "rain_in", 0.25, id="mm"),
    ],
)
def test_the_unit_is_the_one_the_answer_tells(key, unit, told, name, house):
    cell = read(open_meteo(units={key: unit}, **{key: [told] * 72}))
    assert at(cell, name, DAY + timedelta(hours=5)) == pytest.approx(house, rel=1e-6)


@pytest.mark.parametrize(("unit", "words"), [("K", "'K' is not known"), (None, "unit is missing")])
def test_a_unit_that_is_not_known_costs_its_quantity(unit, words):
    cell = read(open_meteo(units={"temperature_2m": unit}))

    assert np.isnan(cell.hourly["temp_f"]).all()
    assert any(words in one and one.startswith("temperature") for one in cell.rejected)
    assert at(cell, "wind_mph", DAY) == pytest.approx(6.0)


@pytest.mark.parametrize(
    "change",
    [
        {"timezone": "America/Chicago", "utc_offset_seconds": -18000},
        {"timezone": "America/Chicago"},
        {"utc_offset_seconds": 3600},
    ],
)
def test_local_time_is_refused(change):
    with pytest.raises(ForecastError, match="wrong across a change of clocks"):
        read(open_meteo() | change)


@pytest.mark.parametrize("form", ["unix", "iso", "", None])
def test_another_form_of_time_is_refused(form):
    with pytest.raises(ForecastError, match=rf"{form} in GMT.*timeformat=unixtime"):
        read(open_meteo(units={"time": form}))


def test_hours_at_the_end_that_nobody_knows_shorten_the_horizon():
    columns = {
        key: [*values[:69], None, None, None]
        for key, values in open_meteo()["hourly"].items()
        if key != "time"
    }
    cell = read(open_meteo(**columns))

    # The last temperature is that of hour 68, so 69 hours of the day on and the one before it.
    assert len(cell.hourly["temp_f"]) == 70
    assert cell.hourly["temp_f"][-1] == pytest.approx(68.0)


def test_sixteen_days_are_read_whole():
    cell = read(open_meteo(384))

    assert len(cell.hourly["temp_f"]) == 385
    assert (~np.isnan(cell.hourly["temp_f"])).sum() == 384


def test_a_hole_stays_a_hole():
    cell = read(open_meteo(temperature_2m=steady(72, 68.0, h30=None)))

    assert np.isnan(at(cell, "temp_f", DAY + timedelta(hours=30)))
    assert np.isnan(cell.hourly["temp_f"][1:]).sum() == 1


def test_a_missing_hour_is_not_known_and_the_others_keep_theirs():
    answer = open_meteo(temperature_2m=[float(hour) for hour in range(40, 112)])
    for values in answer["hourly"].values():
        del values[10]
    cell = read(answer)

    assert np.isnan(at(cell, "temp_f", DAY + timedelta(hours=10)))
    assert at(cell, "temp_f", DAY + timedelta(hours=11)) == pytest.approx(51.0)


def test_an_hour_told_twice_differently_is_not_known():
    answer = open_meteo(temperature_2m=steady(72, 68.0, h10=40.0))
    answer["hourly"]["time"][10] = answer["hourly"]["time"][9]
    cell = read(answer)

    assert np.isnan(at(cell, "temp_f", DAY + timedelta(hours=9)))
    assert "temperature: 1 hour was told twice, differently" in cell.rejected


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ([68.0] * 71 + [200.0], "temperature: got 200, wanted -60 to 135"),
        ([68.0] * 71 + ["68"], "temperature: got '68', wanted a number"),
        ([68.0] * 71 + [True], "temperature: got 'True', wanted a number"),
        ([68.0] * 71, "temperature: got 71 values, wanted one for each of 72 hours"),
        ("68", "temperature: not in the form expected"),
    ],
)
def test_a_column_that_cannot_be_trusted_is_refused_and_named(told, words):
    cell = read(open_meteo(temperature_2m=told))

    assert np.isnan(cell.hourly["temp_f"]).all()
    assert any(words in one for one in cell.rejected)


def test_a_variable_that_is_missing_is_named():
    answer = open_meteo()
    del answer["hourly"]["wind_gusts_10m"]
    cell = read(answer)

    assert np.isnan(cell.hourly["gust_mph"]).all()
    assert "gusts: missing from the answer" in cell.rejected


def test_a_night_is_as_cold_as_its_coldest_hour():
    # At longitude -101.75 standard time is 7 h behind GMT, so 7 pm to 9 am is 02Z to 16Z.
    cell = read(open_meteo(temperature_2m=steady(72, 50.0, h12=31.0, h17=20.0, h37=35.0)))

    assert at(cell, "window_low_f", DAY + timedelta(hours=2)) == pytest.approx(31.0)
    assert at(cell, "window_low_f", DAY + timedelta(hours=15)) == pytest.approx(31.0)
    assert np.isnan(at(cell, "window_low_f", DAY + timedelta(hours=16)))
    assert np.isnan(at(cell, "window_low_f", DAY + timedelta(hours=1)))
    assert at(cell, "window_low_f", DAY + timedelta(hours=30)) == pytest.approx(35.0)


def test_a_night_with_an_unknown_hour_has_no_low():
    cell = read(open_meteo(temperature_2m=steady(72, 50.0, h12=31.0, h14=None)))

    assert np.isnan(at(cell, "window_low_f", DAY + timedelta(hours=12)))
    assert at(cell, "window_low_f", DAY + timedelta(hours=30)) == pytest.approx(50.0)


def test_a_night_cut_by_the_end_of_the_forecast_has_no_low():
    cell = read(open_meteo(hours=63))  # the third night runs to 64 h
    assert np.isnan(at(cell, "window_low_f", DAY + timedelta(hours=60)))


def test_the_age_is_not_known_where_no_model_run_is_told():
    cell = read(open_meteo(), issued_utc=None)

    assert cell.issued_utc is None
    assert any(one.startswith("issue time: Open-Meteo tells none") for one in cell.rejected)
    assert read(open_meteo()).issued_utc == ISSUED
    assert read(open_meteo()).rejected == ()


def test_a_model_run_ahead_of_the_clock_is_not_believed():
    cell = read(open_meteo(), issued_utc=NOW + timedelta(minutes=11))

    assert cell.issued_utc is None
    assert "issue time: ahead of the clock, so its age is not known" in cell.rejected


def test_an_answer_holds_for_places_half_a_cell_around_its_point():
    cell = read(open_meteo())

    assert cell_holds(CELL, cell.outline, LATITUDE + 0.12, LONGITUDE - 0.12)
    assert not cell_holds(CELL, cell.outline, LATITUDE + 0.2, LONGITUDE)
    assert cell.elevation_ft == pytest.approx(3280.84, abs=0.01)
    assert cell.source == "Open-Meteo.com (CC BY 4.0)"


def test_several_points_come_in_one_answer():
    answers = [open_meteo(), open_meteo(latitude=33.0, temperature_2m=[50.0] * 72)]
    points = read_points(as_bytes(answers))

    assert [one.latitude for one in points] == [LATITUDE, 33.0]
    second = read_forecast(points[1], cell_id="open_meteo:33,-101.75", now=NOW, issued_utc=ISSUED)
    assert at(second, "temp_f", DAY) == pytest.approx(50.0)


def test_a_reported_error_is_told():
    problem = {"error": True, "reason": "Minutely API request limit exceeded."}
    with pytest.raises(ForecastError, match="Minutely API request limit exceeded"):
        read_points(as_bytes(problem))


@pytest.mark.parametrize(
    "body", [b"", b"{}", b"[]x", b"null", b"<html>", b'{"hourly": NaN}', b"\xff\xfe"]
)
def test_what_is_no_answer_is_refused(body):
    with pytest.raises(ForecastError, match="could not be read"):
        read_points(body)


@pytest.mark.parametrize("time", [[], [1.5], [1791244801], [10], ["a"], None, [99999999999999]])
def test_hours_that_are_none_are_refused(time):
    with pytest.raises(ForecastError, match="hours"):
        read(open_meteo(time=time))


@pytest.mark.parametrize(
    ("day", "hours"),
    [
        pytest.param(datetime(2026, 11, 1), 25, id="clocks go back"),
        pytest.param(datetime(2027, 3, 14), 23, id="clocks go forward"),
    ],
)
def test_no_hour_is_lost_or_doubled_when_clocks_change(day, hours):
    zone = ZoneInfo("America/Chicago")
    start = datetime(day.year, day.month, day.day, tzinfo=UTC) - timedelta(days=1)
    told_mm = [0.254] * 96
    cell = read(open_meteo(96, start, precipitation=told_mm))
    here = [
        hour
        for hour in range(len(cell.hourly["temp_f"]))
        if (cell.start_utc + timedelta(hours=hour)).astimezone(zone).date() == day.date()
    ]

    assert len(here) == hours
    assert not np.isnan(cell.hourly["temp_f"][here]).any()
    # 0.254 mm is a hundredth of an inch, in each hour of the local day.
    assert cell.hourly["rain_in"][here].sum() == pytest.approx(0.01 * hours, abs=1e-6)
    assert float(np.nansum(cell.hourly["rain_in"], dtype=float)) == pytest.approx(0.96, abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_no_change_to_an_answer_brings_anything_but_a_forecast_or_a_plain_error(data):
    answer = open_meteo(30)
    anything = st.none() | st.integers() | st.floats() | st.text(max_size=3) | st.just([1, "x"])
    table = data.draw(st.sampled_from(["hourly", "hourly_units"]))
    key = data.draw(st.sampled_from(sorted(answer[table])))
    answer[table][key] = data.draw(st.lists(anything, max_size=31) | anything)
    cell = None
    with contextlib.suppress(ForecastError):
        cell = read(json.loads(json.dumps(answer)))
    assert cell is None or len({len(one) for one in cell.hourly.values()}) == 1
