"""Our own small answers, read."""

import json
from dataclasses import fields
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from agronomy.hourly_forecast import QUANTITIES, CellForecast
from forecasts.errors import ForecastError
from forecasts.nws_forecast import read_forecast
from tests.forecasts.answers import NOW, RING, START, as_bytes, gridpoint, hour_index, layer


def read(**changes) -> CellForecast:
    return read_forecast(as_bytes(gridpoint(**changes)), now=NOW)


def test_a_whole_answer_becomes_the_house_units():
    cell = read()

    assert cell.cell_id == "nws:XYZ/12,34"
    assert cell.source == "US National Weather Service"
    assert cell.issued_utc == datetime(2026, 10, 6, 10, tzinfo=UTC)
    assert cell.fetched_utc == NOW
    assert cell.start_utc == datetime.fromisoformat(START)
    assert cell.elevation_ft == pytest.approx(3280.84, abs=0.01)
    assert cell.outline == tuple((lon, lat) for lon, lat in RING)
    assert cell.rejected == ()
    assert set(cell.hourly) == set(QUANTITIES)
    first_hour = datetime.fromisoformat(START).timestamp() / 3600
    first = {name: float(values[0]) for name, values in cell.hourly.items()}
    assert first == pytest.approx(
        {
            "temp_f": 68.0,
            "window_low_f": np.nan,
            "humidity_pct": 50.0,
            "wind_mph": 5.7539,
            "gust_mph": 11.5078,
            "wind_from_deg": 200.0,
            "sky_pct": 25.0,
            "rain_in": 0.0,
            "rain_chance_pct": 10.0,
            "rain_chance_from_h": first_hour,
        },
        abs=1e-4,
        nan_ok=True,
    )
    assert {values.dtype for values in cell.hourly.values()} == {np.dtype(np.float32)}
    assert {len(values) for values in cell.hourly.values()} == {48}


def test_a_rain_total_is_split_over_its_interval_and_a_chance_is_repeated():
    when = f"{START}/PT6H"
    cell = read(
        quantitativePrecipitation=layer("wmoUnit:mm", (when, 15.24)),
        probabilityOfPrecipitation=layer("wmoUnit:percent", (when, 60)),
    )

    np.testing.assert_allclose(cell.hourly["rain_in"][:6], 0.1, rtol=1e-6)
    np.testing.assert_array_equal(cell.hourly["rain_chance_pct"][:6], 60)


def test_a_chance_keeps_the_interval_it_was_told_for():
    """Two intervals of one chance are two throws; an unknown one is none."""
    begin = datetime.fromisoformat(START)
    spans = [(begin + timedelta(hours=6 * place)).isoformat() + "/PT6H" for place in range(3)]
    cell = read(
        probabilityOfPrecipitation=layer(
            "wmoUnit:percent", (spans[0], 30), (spans[1], 30), (spans[2], None)
        )
    )
    told = cell.hourly["rain_chance_from_h"][:18]
    first_hour = begin.timestamp() / 3600

    assert set(told[:6]) == {first_hour}
    assert set(told[6:12]) == {first_hour + 6}
    assert np.isnan(told[12:]).all()


def test_hours_after_a_layer_ends_are_not_known_and_never_dry():
    cell = read(quantitativePrecipitation=layer("wmoUnit:mm", (f"{START}/PT6H", 0)))

    assert not np.isnan(cell.hourly["rain_in"][:6]).any()
    assert np.isnan(cell.hourly["rain_in"][6:]).all()
    assert not np.isnan(cell.hourly["temp_f"]).any()


def test_a_null_value_is_not_known():
    values = ((f"{START}/PT6H", None), ("2026-10-06T12:00:00+00:00/PT6H", 2.54))
    cell = read(quantitativePrecipitation=layer("wmoUnit:mm", *values))

    assert np.isnan(cell.hourly["rain_in"][:6]).all()
    assert float(cell.hourly["rain_in"][6:12].sum()) == pytest.approx(0.1)


def test_a_night_low_stands_on_every_hour_of_its_window_and_cut_windows_are_dropped():
    windows = ((f"{START}/PT7H", 1.0), ("2026-10-07T01:00:00+00:00/PT8H", -2.0))
    low_f = read(minTemperature=layer("wmoUnit:degC", *windows)).hourly["window_low_f"]

    inside = slice(hour_index("07T01"), hour_index("07T09"))
    np.testing.assert_allclose(low_f[inside], 28.4, rtol=1e-6)
    assert int((~np.isnan(low_f)).sum()) == 8


@pytest.mark.parametrize(
    ("celsius", "fahrenheit"),
    [(22.77777777777778, 73.0), (22.77, 73.0), (22.75, 72.95), (-2.2222, 28.0), (-1.95, 28.49)],
)
def test_temperatures_return_to_whole_degrees_only_from_very_near(celsius, fahrenheit):
    cell = read(temperature=layer("wmoUnit:degC", (f"{START}/PT1H", celsius)))
    assert float(cell.hourly["temp_f"][0]) == pytest.approx(fahrenheit, abs=1e-5)


@pytest.mark.parametrize(
    ("unit", "reason"),
    [("wmoUnit:rankine", "the unit 'wmoUnit:rankine' is not known"), (None, "the unit is missing")],
)
def test_a_layer_in_an_unknown_unit_is_rejected_and_the_others_stay(unit, reason):
    cell = read(windSpeed=layer(unit, (f"{START}/P2D", 10)))

    assert np.isnan(cell.hourly["wind_mph"]).all()
    assert cell.rejected == (f"wind: {reason}",)
    assert not np.isnan(cell.hourly["gust_mph"]).any()


def test_an_empty_layer_without_unit_is_no_data_and_no_complaint():
    cell = read(windGust={"values": []})

    assert np.isnan(cell.hourly["gust_mph"]).all()
    assert cell.rejected == ()


def test_a_renamed_layer_is_named_as_missing():
    answer = gridpoint()
    answer["properties"]["qpf"] = answer["properties"].pop("quantitativePrecipitation")
    cell = read_forecast(as_bytes(answer), now=NOW)

    assert np.isnan(cell.hourly["rain_in"]).all()
    assert cell.rejected == ("rain: missing from the answer",)


@pytest.mark.parametrize(
    ("name", "unit", "value", "words"),
    [
        ("temperature", "wmoUnit:degC", 68.0, "temperature: got 154.4, wanted -60 to 135"),
        ("temperature", "wmoUnit:degC", -99.0, "temperature: got -146.2, wanted -60 to 135"),
        ("probabilityOfPrecipitation", "wmoUnit:percent", 101, "chance of rain: got 101"),
        ("probabilityOfPrecipitation", "wmoUnit:percent", -1, "chance of rain: got -1"),
        ("relativeHumidity", "wmoUnit:percent", 101, "humidity: got 101, wanted 0 to 100.5"),
        ("windSpeed", "wmoUnit:km_h-1", 400, "wind: got 248.548, wanted 0 to 200"),
        ("windSpeed", "wmoUnit:km_h-1", -1, "wind: got -0.62"),
    ],
)
def test_a_layer_with_a_value_that_cannot_be_is_rejected(name, unit, value, words):
    good = "2026-10-06T06:00:00+00:00/PT2H"
    cell = read(**{name: layer(unit, (good, 5), ("2026-10-06T08:00:00+00:00/PT1H", value))})

    assert len(cell.rejected) == 1
    assert cell.rejected[0].startswith(words)


def test_rain_is_bounded_by_the_hour():
    six_hours = f"{START}/PT6H"
    assert read(quantitativePrecipitation=layer("wmoUnit:mm", (six_hours, 900))).rejected == ()
    assert read(quantitativePrecipitation=layer("wmoUnit:mm", (six_hours, 920))).rejected != ()


@pytest.mark.parametrize("value", [b"NaN", b"Infinity", b"-Infinity", b"1e400", b'"12"', b"true"])
def test_numbers_that_are_no_numbers_cost_the_layer_or_the_answer(value):
    body = as_bytes(gridpoint()).replace(b'"value": 9.26', b'"value": ' + value)
    assert value in body
    try:
        cell = read_forecast(body, now=NOW)
    except ForecastError:
        return
    assert np.isnan(cell.hourly["wind_mph"]).all()
    assert cell.rejected[0].startswith("wind: not in the form expected")


def test_an_interval_that_cannot_be_read_costs_its_value_and_says_so():
    values = ((f"{START}/PT90M", 9.26), ("2026-10-06T12:00:00+00:00/PT1H", 18.52))
    cell = read(windSpeed=layer("wmoUnit:km_h-1", *values))

    assert int((~np.isnan(cell.hourly["wind_mph"])).sum()) == 1
    assert cell.rejected == (
        f"wind: an interval was refused: got '{START}/PT90M', wanted whole hours",
    )


def test_hours_told_twice_differently_are_not_known_and_said():
    values = ((f"{START}/PT3H", 9.26), ("2026-10-06T08:00:00+00:00/PT3H", 18.52))
    cell = read(windSpeed=layer("wmoUnit:km_h-1", *values))

    assert np.isnan(cell.hourly["wind_mph"][2])
    assert not np.isnan(cell.hourly["wind_mph"][[0, 1, 3, 4]]).any()
    assert cell.rejected == ("wind: 1 hour was told twice, differently",)


@pytest.mark.parametrize(
    ("told", "words"),
    [
        (None, "missing"),
        ("yesterday", "missing"),
        ("2026-10-06T10:00:00", "missing"),
        ("2026-10-06T11:11:00+00:00", "ahead of the clock"),
    ],
)
def test_an_issue_time_that_cannot_be_believed_leaves_the_age_not_known(told, words):
    cell = read(updateTime=told)

    assert cell.issued_utc is None
    assert words in cell.rejected[0]


def test_a_clock_a_few_minutes_behind_is_forgiven():
    assert read(updateTime="2026-10-06T11:09:00+00:00").issued_utc is not None


def test_the_answer_starts_with_its_values_where_its_own_times_are_missing_or_foreign():
    for told in (None, "soon", "2025-01-01T00:00:00+00:00/P7D", "2027-01-01T00:00:00+00:00/P7D"):
        cell = read(validTimes=told)
        assert cell.start_utc == datetime.fromisoformat(START)
        assert not np.isnan(cell.hourly["temp_f"]).any()


def test_no_answer_is_longer_than_four_hundred_hours():
    far = ("2036-01-01T00:00:00+00:00/PT6H", 20.0)
    cell = read(temperature=layer("wmoUnit:degC", (f"{START}/P2D", 20.0), far))

    assert len(cell.hourly["temp_f"]) == 400
    assert int((~np.isnan(cell.hourly["temp_f"])).sum()) == 48


def test_no_hour_is_lost_on_the_night_the_clocks_go_back():
    # 2026-11-01 has 25 hours in the United States; the answer tells them as 25 UTC hours.
    hours = [datetime(2026, 11, 1, 5, tzinfo=UTC) + timedelta(hours=k) for k in range(25)]
    local = [
        (
            f"{(hour - timedelta(hours=5 if k < 2 else 6)).replace(tzinfo=None).isoformat()}"
            f"{'-05:00' if k < 2 else '-06:00'}/PT1H",
            float(k),
        )
        for k, hour in enumerate(hours)
    ]
    cell = read(
        validTimes="2026-11-01T05:00:00+00:00/P1DT1H",
        temperature=layer("wmoUnit:degF", *[(when, 30 + value) for when, value in local]),
    )

    assert cell.start_utc == hours[0]
    np.testing.assert_array_equal(cell.hourly["temp_f"], np.arange(30, 55, dtype=np.float32))


def test_an_answer_already_decoded_reads_the_same():
    from_bytes, from_dict = read(), read_forecast(gridpoint(), now=NOW)
    for one in fields(CellForecast):
        if one.name != "hourly":
            assert getattr(from_bytes, one.name) == getattr(from_dict, one.name)
    for name in QUANTITIES:
        np.testing.assert_array_equal(from_bytes.hourly[name], from_dict.hourly[name])


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{}",
        b"[]",
        b"null",
        b"<html>Service unavailable</html>",
        b'{"properties": null}',
        b'{"properties": []}',
        b'{"properties": {}}',
        b'{"error": true, "reason": "busy"}',
        b'{"properties": {"gridId": "../x", "gridX": 1, "gridY": 2}}',
        as_bytes(gridpoint())[:-40],
        b"[" * 100_000,
        b"\xff\xfe{}",
    ],
)
def test_a_body_that_is_no_forecast_is_a_forecast_error_of_one_line(body):
    with pytest.raises(ForecastError) as caught:
        read_forecast(body, now=NOW)
    assert "\n" not in caught.value.message
    assert "weather service" in caught.value.message


def test_a_problem_in_place_of_a_forecast_is_told():
    with pytest.raises(ForecastError, match="503 Forecast Grid Expired"):
        read_forecast(
            json.dumps({"title": "Forecast Grid Expired", "status": 503}).encode(), now=NOW
        )


JSON_VALUES = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["values", "uom", "value", "validTime"]), inner, max_size=4
        )
    ),
    max_leaves=8,
)


@given(st.binary(max_size=200))
def test_no_bytes_raise_anything_but_a_forecast_error(body):
    with pytest.raises(ForecastError):
        read_forecast(body, now=NOW)


@given(st.dictionaries(st.sampled_from(list(gridpoint()["properties"])), JSON_VALUES, max_size=6))
def test_no_change_of_an_answer_raises_anything_but_a_forecast_error(changes):
    try:
        cell = read_forecast(as_bytes(gridpoint(**changes)), now=NOW)
    except ForecastError:
        return
    for values in cell.hourly.values():
        assert not np.isinf(values).any()


@given(st.integers(0, len(as_bytes(gridpoint())) - 1), st.binary(max_size=3))
def test_no_damage_to_an_answer_raises_anything_but_a_forecast_error(at, damage):
    body = as_bytes(gridpoint())
    try:
        read_forecast(body[:at] + damage + body[at + len(damage) :], now=NOW)
    except ForecastError:
        return
