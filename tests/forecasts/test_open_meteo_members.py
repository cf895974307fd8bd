"""Members of an ensemble, asked for many places at once, or replayed."""

import json
from datetime import timedelta
from urllib.parse import parse_qs, urlsplit

import pytest

from forecasts.cells import Place
from forecasts.errors import ForecastError
from forecasts.folder import FolderTransport
from forecasts.open_meteo_members import (
    ANOTHER_PLACE,
    NOT_ASKED,
    OpenMeteoMembers,
    RecordedMembers,
)
from forecasts.transport import Answer
from tests.forecasts.answers import LATITUDE, LONGITUDE, NOW, as_bytes
from tests.forecasts.point_answers import DAY, ensemble, runs
from tests.forecasts.point_script import PointScript
from tests.forecasts.scripted import HOME, NEXT_DOOR, down

RUN = "/data/ncep_gefs025/static/meta.json"
ISSUED = NOW - timedelta(hours=5)
#: Six places a tenth of a degree apart.
ROW = [Place(f"p{number}", LATITUDE, LONGITUDE + number / 10) for number in range(6)]


def answers(path: str):
    """Members for every point that is asked for."""
    asked = parse_qs(urlsplit(path).query)
    points = zip(asked["latitude"][0].split(","), asked["longitude"][0].split(","), strict=True)
    told = [
        ensemble(240, 31) | {"latitude": float(north), "longitude": float(east)}
        for north, east in points
    ]
    return told if len(told) > 1 else told[0]


def script(members=answers, run=None):
    return PointScript(**{RUN: runs(ISSUED) if run is None else run, "/v1/ensemble": members})


def fetch(asked, places, key=None):
    return OpenMeteoMembers(asked, key).fetch(places, NOW)


def test_members_are_asked_in_gmt_and_in_units_that_are_read():
    asked = script()
    told = fetch(asked, [HOME])["home"]
    query = parse_qs(urlsplit(asked.paths[1]).query)

    assert asked.paths[0] == RUN
    assert urlsplit(asked.paths[1]).path == "/v1/ensemble"
    assert query == {
        "latitude": ["34.75"],
        "longitude": ["-101.75"],
        "hourly": ["temperature_2m,precipitation"],
        "models": ["gfs025"],
        "temperature_unit": ["fahrenheit"],
        "wind_speed_unit": ["mph"],
        "timeformat": ["unixtime"],
        "timezone": ["GMT"],
        "forecast_days": ["10"],
        "cell_selection": ["nearest"],
    }
    assert told.members == 31
    assert told.issued_utc == ISSUED
    assert told.temp_f[0, 20] == pytest.approx(68.0)


def test_places_that_lie_together_share_a_point_and_four_points_a_question():
    asked = script()
    told = fetch(asked, [HOME, NEXT_DOOR, *ROW])

    assert told["home"] is told["next-door"] is told["p0"]
    questions = [parse_qs(urlsplit(one).query)["latitude"][0] for one in asked.paths[1:]]
    assert [len(one.split(",")) for one in questions] == [4, 2]
    assert all(one.members == 31 for one in told.values())


def test_a_question_that_fails_is_told_for_its_places_alone():
    once = [down()]
    asked = script(lambda path: once.pop() if once else answers(path))
    told = fetch(asked, ROW)

    assert [isinstance(told[f"p{number}"], ForecastError) for number in range(6)] == [
        *[True] * 4,
        *[False] * 2,
    ]


def test_a_service_that_does_not_answer_is_left_alone():
    asked = script(down())
    many = [Place(f"m{number}", LATITUDE, LONGITUDE + number / 10) for number in range(20)]
    told = fetch(asked, many)

    assert len(asked.paths) == 3
    assert "503" in told["m7"].message
    assert told["m8"].message == NOT_ASKED
    assert len(told) == 20


@pytest.mark.parametrize(
    "body", [b"", b"<html>", b"[]", b'{"error":true,"reason":"no such model"}', as_bytes([1])]
)
def test_what_is_no_answer_is_told(body):
    (told,) = fetch(script(Answer(body)), [HOME]).values()
    assert isinstance(told, ForecastError)


def test_members_without_a_run_have_no_age():
    assert fetch(script(run=down()), [HOME])["home"].issued_utc is None


def test_an_answer_for_another_place_is_not_taken():
    (told,) = fetch(script(ensemble(240, 31) | {"latitude": 36.0}), [HOME]).values()
    assert told.message == ANOTHER_PLACE


def test_the_key_is_sent_and_never_told():
    def refuse(path):
        return ForecastError(f"refused {path}", False)

    asked = script(refuse)
    (told,) = fetch(asked, [HOME], "kqzx-77").values()

    assert all("apikey=kqzx-77" in one for one in asked.paths)
    assert "kqzx" not in told.message


def write(folder, **files):
    for name, answer in files.items():
        (folder / name).write_text(json.dumps(answer))


NEAR = "open_meteo_ensemble_34.7,-101.7.json"
RUN_FILE = "open_meteo_runs_ncep_gefs025.json"


def replay(folder, *places):
    source = RecordedMembers(FolderTransport(folder))
    source.begin(10)
    return source.fetch(places or (HOME,), NOW)


def test_recorded_members_are_those_of_the_nearest_point(tmp_path):
    far = "open_meteo_ensemble_34.85,-101.75.json"
    write(tmp_path, **{NEAR: ensemble(240, 31), far: ensemble(240, 12), RUN_FILE: runs(DAY)})
    told = replay(tmp_path)["home"]

    assert (told.members, told.issued_utc) == (31, DAY)


def test_a_place_without_recorded_members_has_none(tmp_path):
    write(tmp_path, **{NEAR: ensemble(240, 31), "open_meteo_34.75,-101.75.json": {}})
    told = replay(tmp_path, HOME, Place("far", LATITUDE, LONGITUDE + 1))

    assert told["home"].issued_utc is None
    assert "no recorded members are for this place" in told["far"].message


def test_recorded_members_of_another_place_are_not_taken(tmp_path):
    write(tmp_path, **{NEAR: ensemble(240, 31) | {"latitude": 30.0}})
    assert replay(tmp_path)["home"].message == ANOTHER_PLACE
