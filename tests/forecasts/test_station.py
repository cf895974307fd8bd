"""Reports of a station, in answers of our own and in recorded ones."""

import json
from datetime import datetime, timedelta, timezone

import numpy as np
import pytest

from forecasts.errors import ForecastError
from forecasts.station import read_reports, read_station
from forecasts.transport import Answer

NAN = float("nan")


def report(when="2026-10-06T10:53:00+00:00", **figures):
    told = {"timestamp": when}
    for name, (value, unit, *mark) in figures.items():
        told[name] = {"value": value, "unitCode": unit, "qualityControl": (mark or ["V"])[0]}
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [-101.8, 33.7]},
        "properties": told,
    }


def answer(*reports):
    return json.dumps({"type": "FeatureCollection", "features": list(reports)}).encode()


def test_reports_come_in_the_order_of_time_in_our_units():
    """10 C = 50 F, 5 C = 41 F; 10 m/s = 22.37 mph; 2.54 mm = 0.1 inch. Definitions."""
    told = read_reports(
        answer(
            report("2026-10-06T11:53:00+00:00", temperature=(10, "wmoUnit:degC")),
            report(
                "2026-10-06T10:53:00+00:00",
                temperature=(5, "unit:degC"),
                windSpeed=(10, "unit:m_s-1"),
                precipitationLastHour=(2.54, "wmoUnit:mm"),
            ),
        )
    )
    assert told.temp_f.tolist() == [41.0, 50.0]
    assert told.wind[0] == pytest.approx(22.369, abs=1e-3)
    assert told.rain[0] == pytest.approx(0.1)
    assert np.isnan([told.wind[1], told.rain[1]]).all()
    assert (told.latitude, told.longitude) == (33.7, -101.8)
    assert told.refused == ()


@pytest.mark.parametrize(
    ("figure", "why"),
    [
        ((10, "wmoUnit:K"), "temperature: the unit 'wmoUnit:K' is not known (1x)"),
        ((10, None), "temperature: the unit is missing (1x)"),
        (("warm", "wmoUnit:degC"), "temperature: could not convert"),
        ((-100, "wmoUnit:degC"), "temperature: outside -60 to 135 (1x)"),
        ((10, "wmoUnit:degC", "X"), "temperature: marked as doubtful (1x)"),
        ((10, "wmoUnit:degC", "qc:Q"), "temperature: marked as doubtful (1x)"),
        (([10], "wmoUnit:degC"), "temperature: float() argument"),
        ((10**400, "wmoUnit:degC"), "temperature: int too large"),
    ],
)
def test_what_cannot_be_believed_is_not_known_and_told(figure, why):
    told = read_reports(answer(report(temperature=figure)))
    assert np.isnan(told.temp_f).all()
    assert told.refused[0].startswith(why)


@pytest.mark.parametrize("when", [None, "soon", "2026-10-06", "0001-01-01T00:00:00+05:00"])
def test_a_report_without_a_time_is_passed_over_and_told(when):
    told = read_reports(answer(report(when, temperature=(10, "wmoUnit:degC")), report()))
    assert told.time_utc.size == 1
    assert told.refused == ("report without a time (1x)",)


def test_a_place_that_can_be_none_is_not_known():
    told = report(temperature=(10, "wmoUnit:degC"))
    told["geometry"]["coordinates"] = [10**400, 33.7]
    assert np.isnan(read_reports(answer(told)).latitude)


def test_null_is_not_known_and_no_fault():
    told = read_reports(answer(report(temperature=(None, "wmoUnit:degC", "Z"))))
    assert np.isnan(told.temp_f).all()
    assert told.refused == ()


def test_two_reports_of_one_moment_must_agree():
    told = read_reports(
        answer(
            report(temperature=(None, "wmoUnit:degC"), windSpeed=(18, "wmoUnit:km_h-1")),
            report(temperature=(10, "wmoUnit:degC"), windSpeed=(36, "wmoUnit:km_h-1")),
        )
    )
    assert told.temp_f.tolist() == [50.0]
    assert np.isnan(told.wind).all()


@pytest.mark.parametrize("body", [b"", b"<html>", b"[]", b'{"features": 3}', b'"x"'])
def test_an_answer_that_is_no_list_of_reports_is_refused(body):
    with pytest.raises(ForecastError, match="the station's answer"):
        read_reports(body)


class Asked:
    """A transport that notes the path."""

    requests = 0

    def get(self, path, if_modified_since=None):
        self.path = path
        return Answer(answer())


def test_a_station_is_asked_for_a_span_in_utc():
    asked = Asked()
    start = datetime(2026, 10, 1, 0, 0, tzinfo=timezone(timedelta(hours=-5)))
    told = read_station(asked, " kqqx", (start, start + timedelta(days=1)))
    assert asked.path == (
        "/stations/KQQX/observations?start=2026-10-01T05:00:00Z&end=2026-10-02T05:00:00Z&limit=500"
    )
    assert told.station == "KQQX"
    assert told.time_utc.size == 0


@pytest.mark.parametrize("name", ["", "../points", "K QQ", "KQQX/observations?x=1"])
def test_what_is_no_station_id_is_never_asked_for(name):
    asked = Asked()
    with pytest.raises(ForecastError, match="wanted an id"):
        read_station(asked, name)
    assert not hasattr(asked, "path")


#: Values read by hand in the recorded files: 10 C, 10 F or 22.8 C; 10 m/s = 22.369 mph, 10 km/h
#: = 6.214 mph, 7.56 km/h = 4.698 mph; strings are numbers; -100 C and 1000 m/s are none.
RECORDED = [
    ("stations_observations", [50.0], [22.369]),
    ("stations_observations_alternate_units", [10.0], [6.214]),
    ("stations_observations_latest", [73.04], [4.698]),
    ("stations_observations_strings", [50.0], [22.369]),
    ("stations_observations_other_unitcode", [50.0], [22.369]),
    ("stations_observations_relative_icon", [50.0], [22.369]),
    ("stations_observations_multiple", [50.0], [22.369]),
    ("stations_observations_multiple_unsorted", [NAN, 50.0], [NAN, 22.369]),
    ("stations_observations_metar", [NAN], [NAN]),
    ("stations_observations_metar_noparse", [NAN], [NAN]),
    ("stations_observations_empty", [], []),
    ("stations_observations_missing_value", [], []),
    ("stations_observations_noprop", [], []),
]


@pytest.mark.parametrize(("name", "temp_f", "wind_mph"), RECORDED)
def test_recorded_answers(recorded_answers, name, temp_f, wind_mph):
    told = read_reports((recorded_answers / "payloads" / "pynws" / f"{name}.json").read_bytes())
    np.testing.assert_allclose(told.temp_f, temp_f, atol=1e-6)
    np.testing.assert_allclose(told.wind, wind_mph, atol=1e-3)
    assert np.isnan(told.rain).all()
    assert (np.diff(told.time_utc) > np.timedelta64(0, "s")).all()


def test_recorded_reports_that_are_not_believed_are_told(recorded_answers):
    folder = recorded_answers / "payloads" / "pynws"
    told = read_reports((folder / "stations_observations_multiple_unsorted.json").read_bytes())
    assert told.refused == ("temperature: outside -60 to 135 (1x)", "wind: outside 0 to 150 (1x)")
