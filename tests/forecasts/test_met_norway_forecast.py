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
from forecasts.met_norway_forecast import read_forecast
from tests.forecasts.answers import LATITUDE, LONGITUDE, NOW, as_bytes
from tests.forecasts.point_answers import entry, met_norway, two_speeds

CELL = "met_norway:34.75,-101.75"


def read(answer, now=NOW):
    return read_forecast(as_bytes(answer), cell_id=CELL, now=now)


def at(cell, name: str, moment: datetime) -> float:
    return float(cell.hourly[name][(moment - cell.start_utc) // timedelta(hours=1)])


def hour(number: int) -> datetime:
    return NOW + timedelta(hours=number)


def test_figures_are_in_house_units():
    cell = read(met_norway())

    assert at(cell, "temp_f", NOW) == pytest.approx(68.0)
    # 2.5 m/s x 3600 / 1609.344
    assert at(cell, "wind_mph", NOW) == pytest.approx(5.5923, abs=5e-5)
    assert at(cell, "humidity_pct", NOW) == 50
    assert at(cell, "sky_pct", NOW) == 25
    assert at(cell, "wind_from_deg", NOW) == 200
    assert cell.elevation_ft == pytest.approx(3280.84, abs=0.01)
    assert cell.source == "Data from MET Norway (CC BY 4.0)"
    assert cell.issued_utc == datetime(2026, 10, 6, 7, 30, tzinfo=UTC)


def test_hours_between_two_instants_are_not_made_up():
    cell = read(met_norway())
    known = ~np.isnan(cell.hourly["temp_f"])

    assert known[:56].all()  # 55 by the hour, and the first of the six-hour steps
    assert not known[56:61].any()
    assert known[61]
    assert known[56:].sum() == 26


def test_a_six_hour_total_is_shared_out_over_its_hours():
    entries = [entry(hour(0), one_h_mm=0.0), entry(hour(1), six_h_mm=7.62), entry(hour(7))]
    cell = read(met_norway(entries))

    # 7.62 mm are 0.3 inch, over six hours.
    assert cell.hourly["rain_in"][1:7] == pytest.approx([0.05] * 6)
    assert np.isnan(cell.hourly["rain_in"][7])


def test_hours_told_one_by_one_are_not_told_again_by_six():
    entries = [
        entry(hour(step), one_h_mm=2.54 if step == 3 else 0.0, six_h_mm=9.9) for step in range(12)
    ]
    cell = read(met_norway(entries))

    assert float(np.nansum(cell.hourly["rain_in"])) == pytest.approx(0.1)
    assert at(cell, "rain_in", hour(3)) == pytest.approx(0.1)
    assert np.isnan(cell.hourly["rain_in"][12:]).all()


def test_six_hour_totals_that_overlap_are_not_added_up():
    entries = [entry(hour(step), six_h_mm=0.0 if step % 6 else 6 * 2.54) for step in range(8)]
    cell = read(met_norway(entries))

    assert cell.hourly["rain_in"][:12] == pytest.approx([0.1] * 12)
    assert cell.rejected == ()


def test_a_chance_that_is_not_told_is_not_known():
    cell = read(met_norway())

    assert np.isnan(cell.hourly["rain_chance_pct"]).all()
    assert np.isnan(cell.hourly["rain_chance_from_h"]).all()
    assert np.isnan(cell.hourly["gust_mph"]).all()
    assert cell.rejected == ()


def test_a_chance_that_is_told_holds_for_its_interval():
    entries = [entry(hour(0), one_h_mm=0.0), entry(hour(1), six_h_mm=0.0), entry(hour(7))]
    entries[0]["data"]["next_1_hours"]["details"]["probability_of_precipitation"] = 20.0
    entries[1]["data"]["next_6_hours"]["details"]["probability_of_precipitation"] = 45.0
    cell = read(met_norway(entries, units={"probability_of_precipitation": "%"}))
    first = (NOW - datetime(1970, 1, 1, tzinfo=UTC)) // timedelta(hours=1)

    assert cell.hourly["rain_chance_pct"][:7].tolist() == [20] + [45] * 6
    assert cell.hourly["rain_chance_from_h"][:7].tolist() == [first] + [first + 1] * 6


def test_nights_have_lows_as_far_as_they_are_hourly():
    cell = read(met_norway())

    # 7 pm to 9 am is 02Z to 16Z here: the night under way is cut, those of the 7th and 8th of
    # October are whole, and that of the 9th is told every six hours only.
    assert np.isnan(at(cell, "window_low_f", datetime(2026, 10, 6, 12, tzinfo=UTC)))
    assert at(cell, "window_low_f", datetime(2026, 10, 7, 12, tzinfo=UTC)) == pytest.approx(68)
    assert at(cell, "window_low_f", datetime(2026, 10, 8, 12, tzinfo=UTC)) == pytest.approx(68)
    assert np.isnan(at(cell, "window_low_f", datetime(2026, 10, 9, 12, tzinfo=UTC)))


@pytest.mark.parametrize(
    ("updated_at", "words"),
    [
        (None, "missing from the answer"),
        ("yesterday", "missing from the answer"),
        ("2026-10-06", "missing from the answer"),
        ("2026-10-06T07:30:00", "missing from the answer"),
        ("2026-10-06T11:11:00Z", "ahead of the clock"),
    ],
)
def test_an_issue_time_that_cannot_be_believed_is_not_known(updated_at, words):
    cell = read(met_norway(updated_at=updated_at))

    assert cell.issued_utc is None
    assert any(words in one for one in cell.rejected)


@pytest.mark.parametrize("unit", ["fahrenheit", "K", ""])
def test_a_unit_that_is_not_known_costs_its_quantity(unit):
    cell = read(met_norway(units={"air_temperature": unit}))

    assert np.isnan(cell.hourly["temp_f"]).all()
    assert cell.rejected[0].startswith("temperature: the unit")


def test_an_answer_holds_for_places_near_its_point():
    outline = read(met_norway()).outline

    assert cell_holds(CELL, outline, LATITUDE + 0.0125, LONGITUDE + 0.0125)
    assert not cell_holds(CELL, outline, LATITUDE + 0.1, LONGITUDE)


@pytest.mark.parametrize(
    "body",
    [b"", b"{}", b"<html>", b"null", as_bytes(met_norway([])), as_bytes(met_norway([{}]))],
)
def test_what_is_no_answer_is_refused(body):
    with pytest.raises(ForecastError, match="MET Norway's answer"):
        read_forecast(body, cell_id=CELL, now=NOW)


@pytest.mark.parametrize(
    "time", ["2026-10-06T11:30:00Z", "2026-10-06T11:00:00", "x", "0001-01-01T00:00:00+14:00"]
)
def test_a_time_that_is_no_whole_hour_is_refused(time):
    with pytest.raises(ForecastError, match="MET Norway's answer tells no"):
        read(met_norway([entry(NOW) | {"time": time}]))


@pytest.mark.parametrize(
    ("day", "hours"),
    [
        pytest.param(datetime(2026, 11, 1), 25, id="clocks go back"),
        pytest.param(datetime(2027, 3, 14), 23, id="clocks go forward"),
    ],
)
def test_no_hour_is_lost_or_doubled_when_clocks_change(day, hours):
    zone = ZoneInfo("America/Chicago")
    start = datetime(day.year, day.month, day.day, tzinfo=UTC)
    entries = [
        one | {"data": one["data"] | {"next_1_hours": {"details": {"precipitation_amount": 0.254}}}}
        for one in two_speeds(start, 55, 0)
    ]
    cell = read(met_norway(entries), now=start)
    here = [
        hour
        for hour in range(len(cell.hourly["temp_f"]))
        if (cell.start_utc + timedelta(hours=hour)).astimezone(zone).date() == day.date()
    ]

    assert len(here) == hours
    assert not np.isnan(cell.hourly["temp_f"][here]).any()
    assert cell.hourly["rain_in"][here].sum() == pytest.approx(0.01 * hours, abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_no_change_to_an_answer_brings_anything_but_a_forecast_or_a_plain_error(data):
    answer = met_norway(two_speeds(NOW, 8, 2))
    anything = st.none() | st.integers() | st.floats() | st.text(max_size=3) | st.just({"a": 1})
    where = data.draw(st.sampled_from(["time", "instant", "next_1_hours", "details", "meta"]))
    one = answer["properties"]["timeseries"][data.draw(st.integers(0, 7))]
    if where == "time":
        one["time"] = data.draw(anything)
    elif where == "details":
        one["data"]["instant"]["details"]["air_temperature"] = data.draw(anything)
    elif where == "meta":
        answer["properties"]["meta"]["updated_at"] = data.draw(anything)
    else:
        one["data"][where] = data.draw(anything)
    cell = None
    with contextlib.suppress(ForecastError):
        cell = read(json.loads(json.dumps(answer)))
    assert cell is None or len({len(one) for one in cell.hourly.values()}) == 1


#: Read by eye in lat40.7lon-74.0altitude10_compact.json, data.properties.timeseries: (quantity,
#: hour UTC, house value worked by hand from the entry's own figures).
BY_EYE = [
    ("temp_f", "2020-07-20T11", 79.70),  # first entry: air_temperature 26.5
    ("humidity_pct", "2020-07-20T11", 81.3),
    ("wind_mph", "2020-07-20T11", 8.5004),  # wind_speed 3.8 m/s
    ("wind_from_deg", "2020-07-20T11", 243.4),
    ("sky_pct", "2020-07-20T11", 69.5),
    ("temp_f", "2020-07-22T17", 84.74),  # the last entry by the hour: 29.3
    ("temp_f", "2020-07-22T18", 86.36),  # the first of the six-hour steps: 30.2
    ("temp_f", "2020-07-22T19", np.nan),
    ("temp_f", "2020-07-23T00", 80.06),  # 26.7
    ("rain_in", "2020-07-22T17", 0.0),  # its own next_1_hours
    ("rain_in", "2020-07-22T18", 0.0),  # next_6_hours 0.0 from 18Z
    ("rain_in", "2020-07-23T00", 3.0 / 25.4 / 6),  # next_6_hours 3.0 mm from 00Z
    ("rain_in", "2020-07-23T05", 3.0 / 25.4 / 6),
    ("rain_in", "2020-07-23T06", 0.0),
    ("temp_f", "2020-07-29T06", 76.46),  # the last entry: 24.7, with nothing ahead
    ("rain_chance_pct", "2020-07-20T12", np.nan),
    ("gust_mph", "2020-07-20T12", np.nan),
]


def recorded(recorded_answers, name: str) -> dict:
    file = recorded_answers / "payloads" / "metno" / name
    return json.loads(file.read_bytes())["data"]


NEW_YORK = "lat40.7lon-74.0altitude10_compact.json"
BEIJING = "lat39.9lon116.4altitudeNone_compact.json"


@pytest.mark.parametrize(("quantity", "moment", "value"), BY_EYE)
def test_hours_read_by_eye_in_a_recorded_answer_agree(recorded_answers, quantity, moment, value):
    now = datetime(2020, 7, 20, 11, 44, tzinfo=UTC)
    cell = read(recorded(recorded_answers, NEW_YORK), now=now)

    got = at(cell, quantity, datetime.fromisoformat(f"{moment}:00:00+00:00"))
    assert got == pytest.approx(value, abs=5e-5, nan_ok=True)


@pytest.mark.parametrize(("name", "height_ft"), [(NEW_YORK, 32.808), (BEIJING, 164.042)])
def test_recorded_answers_are_read_whole(recorded_answers, name, height_ft):
    # geometry.coordinates end in 10 and 50 m; meta.updated_at is 2020-07-20T01:30:57Z in both.
    answer = recorded(recorded_answers, name)
    cell = read(answer, now=datetime(2020, 7, 20, 11, 44, tzinfo=UTC))

    assert cell.rejected == ()
    assert cell.issued_utc == datetime(2020, 7, 20, 1, 30, 57, tzinfo=UTC)
    assert cell.start_utc == datetime(2020, 7, 20, 11, tzinfo=UTC)
    # 82 entries, the last at 2020-07-29T06.
    assert (~np.isnan(cell.hourly["temp_f"])).sum() == 82
    assert len(cell.hourly["temp_f"]) == 212
    assert cell.elevation_ft == pytest.approx(height_ft, abs=0.001)


def test_the_totals_of_a_recorded_answer_are_conserved(recorded_answers):
    answer = recorded(recorded_answers, NEW_YORK)
    cell = read(answer, now=datetime(2020, 7, 20, 11, 44, tzinfo=UTC))
    # All next_1_hours are 0.0; the six-hour totals are those of the entries from 2020-07-22T18 on.
    told_mm = [
        one["data"]["next_6_hours"]["details"]["precipitation_amount"]
        for one in answer["properties"]["timeseries"][55:81]
    ]

    assert sum(told_mm) > 3
    assert float(np.nansum(cell.hourly["rain_in"], dtype=float)) == pytest.approx(
        sum(told_mm) / 25.4, abs=1e-6
    )
