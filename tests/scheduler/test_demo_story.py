"""The invented week has the weather, the faults and the counts the demo is about."""

import json
from collections import Counter
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from agronomy.moist_air import delta_t_f
from forecasts.nws_forecast import read_forecast
from scheduler.demo.cells import CELLS
from scheduler.demo.nws_form import gridpoints_name
from scheduler.demo.place import plots
from scheduler.demo.scouting import sprays, visits
from scheduler.demo.weather import CellWeather, hourly_weather
from scheduler.demo.write import REPLAY_UTC, write_demo_farm

ORDINARY = ("gin", "north", "east", "windy", "south", "hole")
FRESH = (*ORDINARY, "creek")


def at(day, hour):
    """A UTC hour of October 2026; the farm's clock is five hours behind."""
    return datetime(2026, 10, day, hour, tzinfo=UTC)


@pytest.fixture(scope="module")
def read(tmp_path_factory):
    farm = write_demo_farm(tmp_path_factory.mktemp("demo"))
    return {
        name: read_forecast(
            json.loads((farm.answers_path / gridpoints_name(cell.spot)).read_text("utf-8")),
            now=REPLAY_UTC,
        )
        for name, cell in CELLS.items()
    }


def hours(cell, quantity, start, stop):
    first, last = (round((when - cell.start_utc).total_seconds() / 3600) for when in (start, stop))
    return cell.hourly[quantity][first:last]


@pytest.mark.parametrize("name", FRESH)
def test_the_eighth_dawn_freezes_and_no_dawn_before_it(read, name):
    temp_f = hours(read[name], "temp_f", at(6, 11), at(13, 23))
    last_f = hours(read[name], "temp_f", at(14, 1), at(14, 15))

    assert temp_f.min() > 34
    assert last_f.min() == (27 if name == "creek" else pytest.approx(30.5, abs=0.6))


def test_the_creek_bottom_reaches_a_freeze_one_dawn_before_the_rest(read):
    # So that one mature field has less than its seven nights left, and stands as short.
    cold_spot_f = next(one.cold_spot_f for one in plots() if one.id == "creek-bottom")
    assert hours(read["creek"], "temp_f", at(13, 1), at(13, 15)).min() - cold_spot_f == 32
    assert hours(read["creek"], "temp_f", at(6, 11), at(12, 23)).min() - cold_spot_f > 32


def test_today_and_tomorrow_are_warm_and_the_weekend_turns_cool(read):
    highs_f = [hours(read["gin"], "temp_f", at(d, 12), at(d + 1, 2)).max() for d in range(6, 14)]
    assert min(highs_f[:2]) >= 84
    assert max(highs_f[5:]) <= 69


@pytest.mark.parametrize("name", [name for name in FRESH if name not in ("hole", "windy")])
def test_today_has_hours_to_spray_in(read, name):
    # Wind, gust and dryness of the default gates; 11 am to 3 pm on the farm's clock.
    start, stop = at(6, 16), at(6, 20)
    wind, gust = (hours(read[name], key, start, stop) for key in ("wind_mph", "gust_mph"))
    temp, humidity = (hours(read[name], key, start, stop) for key in ("temp_f", "humidity_pct"))
    dryness = delta_t_f(temp, humidity, 925.0)
    assert wind.min() >= 5
    assert wind.max() <= 9
    assert gust.max() < 15
    assert dryness.min() >= 3.6
    assert dryness.max() <= 18


def test_the_windy_cell_is_blown_out_until_late_afternoon_only(read):
    assert hours(read["windy"], "wind_mph", at(6, 13), at(6, 21)).min() > 12
    assert hours(read["windy"], "wind_mph", at(6, 21), at(6, 23)).max() <= 10


@pytest.mark.parametrize("name", [name for name in FRESH if name != "south"])
def test_half_an_inch_of_rain_comes_on_wednesday_night_and_thursday(read, name):
    rain = hours(read[name], "rain_in", at(8, 0), at(9, 0))
    chance = hours(read[name], "rain_chance_pct", at(8, 6), at(8, 18))
    assert np.sum(rain) == pytest.approx(0.52, abs=0.03)
    assert 60 <= chance.min() <= chance.max() <= 80
    assert hours(read[name], "rain_chance_pct", at(6, 11), at(8, 0)).max() < 40


def test_saturdays_front_gusts_to_thirty_from_the_north(read):
    gust = hours(read["gin"], "gust_mph", at(10, 13), at(10, 23))
    assert 30 <= gust.max() <= 34
    assert set(hours(read["gin"], "wind_from_deg", at(10, 13), at(10, 23))) == {350}


def test_one_cell_has_a_hole_in_wind_and_rain_within_the_next_36_hours(read):
    wind = hours(read["hole"], "wind_mph", REPLAY_UTC, REPLAY_UTC + timedelta(hours=36))
    rain = hours(read["hole"], "rain_in", REPLAY_UTC, REPLAY_UTC + timedelta(hours=36))
    assert np.isnan(wind).sum() == 7
    assert np.isnan(rain).sum() == 12
    for name in (one for one in FRESH if one != "hole"):
        early = {key: values[:180] for key, values in read[name].hourly.items()}
        assert not any(np.isnan(early[key]).any() for key in ("wind_mph", "rain_in"))


def test_one_cell_is_thirty_hours_old_and_the_rest_are_fresh(read):
    ages_h = {
        name: (REPLAY_UTC - cell.issued_utc).total_seconds() / 3600 for name, cell in read.items()
    }
    assert ages_h.pop("stale") == pytest.approx(30, abs=0.1)
    assert set(ages_h.values()) == {3.5}


def test_the_story_is_the_same_whichever_hour_it_is_told_from():
    early = hourly_weather(CellWeather(), at(5, 0), 48)
    late = hourly_weather(CellWeather(), at(6, 0), 24)
    assert early.temp_f[24:].tolist() == late.temp_f.tolist()
    assert early.wind_kt[24:].tolist() == late.wind_kt.tolist()


def test_counts_run_from_too_green_to_overripe():
    counted = {one.field_id: one for one in visits(REPLAY_UTC)}
    nodes = [v.nodes_above_cracked_boll for v in counted.values() if not v.windshield]
    assert max(nodes) == 9
    assert min(nodes) == 0.8
    assert len(counted) == len(plots()) - 1
    assert sum(v.windshield for v in counted.values()) == 1
    cut_tests = {v.field_id: (v.bolls_cut_mature, v.bolls_cut) for v in counted.values()}
    assert cut_tests["old-tank"] == (6, 12)
    assert cut_tests["windmill"] == (12, 12)


def test_enough_fields_are_in_each_state_to_make_a_morning():
    # Default rules: mature at most 4 nodes and at least 60 % open, seen within 7 days.
    sprayed = {one.field_id for one in sprays(REPLAY_UTC)}
    states = Counter()
    for one in visits(REPLAY_UTC):
        if one.field_id in sprayed or one.windshield:
            continue
        if REPLAY_UTC - one.observed_utc > timedelta(days=7):
            states["old"] += 1
        elif one.nodes_above_cracked_boll <= 4 and one.percent_open >= 60:
            states["mature"] += 1
        elif one.nodes_above_cracked_boll <= 4:
            states["counts apart"] += 1
        else:
            states["nearly" if one.nodes_above_cracked_boll <= 6 else "not yet"] += 1
    assert states == {"mature": 11, "counts apart": 2, "nearly": 4, "not yet": 7, "old": 1}
    assert len(sprayed) == 3


def test_records_lie_before_the_demos_morning_by_daylight_and_keep_their_ids():
    for one in visits(REPLAY_UTC):
        assert one.observed_utc < REPLAY_UTC
        assert 8 <= (one.observed_utc - timedelta(hours=5)).hour <= 19
    for one in sprays(REPLAY_UTC):
        assert timedelta(days=5) < REPLAY_UTC - one.sprayed_utc < timedelta(days=14)
    assert visits(REPLAY_UTC) == visits(REPLAY_UTC)
    uuids = [one.uuid for one in (*visits(REPLAY_UTC), *sprays(REPLAY_UTC))]
    assert len(set(uuids)) == len(uuids)
