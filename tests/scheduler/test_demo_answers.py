"""The invented answers have the provider's shape, units and habits."""

import json
import re
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest

from forecasts.nws_forecast import read_forecast
from scheduler.demo.ground import cell_outline
from scheduler.demo.nws_form import GridSpot, canonical, gridpoint_answer
from scheduler.demo.weather import CellWeather, hourly_weather
from scheduler.demo.write import REPLAY_UTC, write_demo_farm

STALE, HOLE = "gridpoints_QQX_59,85.json", "gridpoints_QQX_66,84.json"
HOURLY = (
    *("temperature", "dewpoint", "relativeHumidity", "skyCover", "windDirection"),
    *("windSpeed", "windGust", "probabilityOfPrecipitation"),
)
NUMBERS = (*HOURLY, "maxTemperature", "minTemperature", "quantitativePrecipitation")


def span(valid_time):
    begin, length = valid_time.split("/")
    days, hours = re.fullmatch(r"P(?:(\d+)D)?(?:T(\d+)H)?", length).groups()
    start = datetime.fromisoformat(begin)
    return start, start + timedelta(days=int(days or 0), hours=int(hours or 0))


def spans(answer, layer):
    values = answer["properties"][layer]["values"]
    return [(*span(one["validTime"]), one["value"]) for one in values]


def by_hour(answer, layer):
    found = {}
    for start, end, value in spans(answer, layer):
        for n in range(int((end - start).total_seconds() // 3600)):
            found[start + timedelta(hours=n)] = value
    return found


@pytest.fixture(scope="module")
def answers(tmp_path_factory):
    farm = write_demo_farm(tmp_path_factory.mktemp("demo"))
    return {path.name: json.loads(path.read_text("utf-8")) for path in farm.answers_path.iterdir()}


@pytest.fixture(scope="module")
def cells(answers):
    return {name: one for name, one in answers.items() if name.startswith("gridpoints")}


@pytest.fixture(scope="module")
def points(answers):
    return {name: one for name, one in answers.items() if name.startswith("points")}


def test_there_are_eight_cells_and_a_point_for_each_of_thirty_fields(cells, points):
    assert (len(cells), len(points)) == (8, 30)


def test_every_point_leads_to_a_cell_that_is_there(cells, points):
    for point in points.values():
        told = point["properties"]
        name = f"gridpoints_{told['gridId']}_{told['gridX']},{told['gridY']}.json"
        assert name in cells
        assert told["forecastGridData"] == cells[name]["id"]


@pytest.mark.parametrize(
    ("degrees", "wanted"),
    [(34.58, "34.58"), (-100.92504, "-100.925"), (34.0, "34"), (34.58996, "34.59")],
)
def test_coordinates_are_written_without_trailing_zeros(degrees, wanted):
    assert canonical(degrees) == wanted


@pytest.mark.parametrize("layer", HOURLY)
def test_hourly_layers_run_without_a_gap_over_the_whole_answer(cells, layer):
    for name, answer in cells.items():
        if name == HOLE and layer == "windSpeed":
            continue
        runs = spans(answer, layer)
        begin, end = span(answer["properties"]["validTimes"])
        assert (runs[0][0], runs[-1][1]) == (begin, end)
        assert [one[1] for one in runs[:-1]] == [one[0] for one in runs[1:]]
        assert all(one[2] != after[2] for one, after in pairwise(runs))


def test_rain_totals_keep_their_six_hour_steps_after_a_stub(cells):
    for answer in cells.values():
        totals = spans(answer, "quantitativePrecipitation")
        begin, end = span(answer["properties"]["validTimes"])
        assert (totals[0][0], totals[-1][1]) == (begin, end)
        assert totals[0][1] - totals[0][0] < timedelta(hours=6)
        for start, stop, _ in totals[1:-1]:
            assert stop - start == timedelta(hours=6)
            assert start.hour % 6 == 0


def test_highs_and_lows_have_the_windows_of_central_offices(cells):
    # Recorded Central answers: highs 13 h from 13Z, lows 14 h from 01Z, the first perhaps short.
    for answer in cells.values():
        for layer, hour, length in (("maxTemperature", 13, 13), ("minTemperature", 1, 14)):
            first, *whole = spans(answer, layer)
            assert first[0] >= span(answer["properties"]["validTimes"])[0]
            assert all(
                start.hour == hour and stop - start == timedelta(hours=length)
                for start, stop, _ in whole
            )


def test_a_low_is_the_lowest_hour_of_its_window_and_a_high_the_highest(cells):
    for answer in cells.values():
        hourly = by_hour(answer, "temperature")
        for layer, pick in (("minTemperature", min), ("maxTemperature", max)):
            for start, stop, value in spans(answer, layer):
                inside = [hourly[hour] for hour in hourly if start <= hour < stop]
                assert value == pytest.approx(pick(inside))


def test_an_answer_that_begins_in_the_morning_has_a_cut_first_low():
    # As recorded at Little Rock, 2024-02-20: answer from 11Z, first low 11Z/PT4H, high from 13Z.
    weather = hourly_weather(CellWeather(), datetime(2026, 10, 6, 11, tzinfo=UTC), 194)
    spot = GridSpot("QQX", 1, 1, cell_outline(0, 0), 700.0)

    told = gridpoint_answer(spot, weather, REPLAY_UTC)["properties"]

    assert told["minTemperature"]["values"][0]["validTime"] == "2026-10-06T11:00:00+00:00/PT4H"
    assert told["maxTemperature"]["values"][0]["validTime"] == "2026-10-06T13:00:00+00:00/PT13H"
    assert told["validTimes"] == "2026-10-06T11:00:00+00:00/P8DT2H"


def test_temperatures_are_whole_fahrenheit_and_winds_whole_knots(cells):
    for answer in cells.values():
        for layer in ("temperature", "dewpoint", "maxTemperature", "minTemperature"):
            for _, _, value in spans(answer, layer):
                assert value * 9 / 5 + 32 == pytest.approx(round(value * 9 / 5 + 32))
        for layer in ("windSpeed", "windGust"):
            for _, _, value in spans(answer, layer):
                assert value / 1.852 == pytest.approx(round(value / 1.852))


def test_no_hour_is_damper_than_saturated_and_no_gust_below_the_wind(cells):
    for answer in cells.values():
        temperature, dew = by_hour(answer, "temperature"), by_hour(answer, "dewpoint")
        wind, gust = by_hour(answer, "windSpeed"), by_hour(answer, "windGust")
        assert all(dew[hour] <= temperature[hour] for hour in temperature)
        assert all(gust[hour] >= wind[hour] for hour in wind)
        assert all(0 < one[2] <= 100 for one in spans(answer, "relativeHumidity"))


def test_the_forecasts_room_reads_every_answer_without_refusing_a_layer(cells):
    for name, answer in cells.items():
        cell = read_forecast(answer, now=REPLAY_UTC)
        assert cell.rejected == (), name
        assert cell.issued_utc is not None


def test_keys_and_units_are_those_of_recorded_answers(cells, recorded_answers):
    folder = recorded_answers / "payloads" / "nws_gridpoints"
    recorded = json.loads((folder / "LZK_83_73__2024-02-20.json").read_text("utf-8"))
    real = recorded["properties"]
    for answer in cells.values():
        told = answer["properties"]
        assert set(answer) == set(recorded)
        assert set(told) <= set(real)
        for layer in NUMBERS:
            assert told[layer]["uom"] == real[layer]["uom"]
        for key, value in told.items():
            assert isinstance(value, type(real[key])), key
            if isinstance(value, dict) and value.get("values") and real[key]["values"]:
                assert set(value["values"][0]) == {"validTime", "value"}


def test_point_keys_are_those_of_recorded_answers(points, recorded_answers):
    folder = recorded_answers / "payloads" / "nws_other"
    recorded = json.loads((folder / "points_LZK_littlerock.json").read_text("utf-8"))
    for answer in points.values():
        assert set(answer) <= set(recorded)
        assert set(answer["properties"]) <= set(recorded["properties"])
        for key, value in answer["properties"].items():
            assert isinstance(value, type(recorded["properties"][key])), key


def test_the_invented_office_is_no_office_of_the_weather_service(cells, recorded_answers):
    listed = (recorded_answers / "payloads" / "openapi-1.9.0.yaml").read_text("utf-8")
    assert "- LZK\n" in listed
    assert all(one["properties"]["gridId"] == "QQX" for one in cells.values())
    assert "- QQX\n" not in listed
