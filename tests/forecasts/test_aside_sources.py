"""Who is asked for what is shown beside the calls."""

import pytest

from forecasts.alerts import MOST_MISSED, NOT_ASKED, fetch_alerts
from forecasts.aside_sources import alert_source, ensemble_source
from forecasts.asked import Asked
from forecasts.cells import Place
from forecasts.client import WeatherClient
from forecasts.errors import ForecastError
from forecasts.further import FURTHER_HOURS, fetch_further
from forecasts.memory import MemoryInProcess
from forecasts.open_meteo import OpenMeteoSource
from forecasts.open_meteo_members import OpenMeteoMembers, RecordedMembers
from forecasts.recorded_alerts import RecordedAlerts
from forecasts.settings import ForecastSettings
from forecasts.sources import Sources
from tests.forecasts.answers import LATITUDE, LONGITUDE, NOW
from tests.forecasts.point_answers import open_meteo, runs
from tests.forecasts.point_script import PointScript
from tests.forecasts.scripted import FAR, HOME, Script, down, gone
from tests.forecasts.test_alerts import alert, answer

MAIL = "sky@gin.test"
FOLDER = {"source": "folder", "path": "."}
FREE = {"contact": MAIL, "non_commercial": True}


def test_alerts_are_asked_of_the_us_service(tmp_path):
    assert isinstance(alert_source(Sources(ForecastSettings(**FREE), tmp_path)), WeatherClient)


def test_a_folder_without_alerts_has_none_to_tell(tmp_path):
    sources = Sources(ForecastSettings(**FOLDER), tmp_path)
    assert alert_source(sources) is None
    (tmp_path / "alerts_34.75,-101.75.json").write_bytes(answer(alert()))
    assert isinstance(alert_source(sources), RecordedAlerts)


def test_recorded_alerts_are_those_of_the_nearest_point(tmp_path):
    (tmp_path / "alerts_34.77,-101.76.json").write_bytes(answer(alert("Freeze Watch")))
    (tmp_path / "alerts_34.79,-101.76.json").write_bytes(answer(alert()))
    (tmp_path / "alerts_x.json").write_bytes(b"")
    found = fetch_alerts(RecordedAlerts(tmp_path), [HOME, FAR], NOW)

    assert [one.event for one in found["home"].alerts] == ["Freeze Watch"]
    assert found["far"].problem == (
        "the folder of recorded answers has no alerts_34.75,-100.75.json"
    )


def row(count: int) -> list[Place]:
    return [Place(f"p{number}", LATITUDE, LONGITUDE + number / 10) for number in range(count)]


def alerts_path(place: Place) -> str:
    return f"/alerts/active?point={place.latitude:g},{round(place.longitude, 3):g}"


def test_a_service_that_tells_no_alerts_is_not_asked_again_and_again():
    places = row(9)
    asked = Script({alerts_path(one): down() for one in places})
    found = fetch_alerts(asked, places, NOW)

    assert len(asked.asked) == MOST_MISSED == 2
    assert "503" in found["p1"].problem
    assert found["p2"].problem == found["p8"].problem == NOT_ASKED
    assert all(one.alerts == () for one in found.values())


def test_places_it_knows_nothing_of_do_not_end_the_asking():
    places = row(5)
    asked = Script({alerts_path(one): gone() for one in places})
    fetch_alerts(asked, places, NOW)
    assert len(asked.asked) == 5


def test_members_are_asked_only_where_that_is_wanted(tmp_path):
    assert ensemble_source(Sources(ForecastSettings(**FREE), tmp_path)) is None
    told = ForecastSettings(**FREE, ensemble=True)
    assert isinstance(ensemble_source(Sources(told, tmp_path)), OpenMeteoMembers)
    replayed = Sources(ForecastSettings(**FOLDER, ensemble=True), tmp_path)
    assert isinstance(ensemble_source(replayed), RecordedMembers)


@pytest.mark.parametrize(
    ("told", "key", "address", "most_a_second"),
    [
        (FREE, None, "https://ensemble-api.open-meteo.com", 0.4),
        (
            {"contact": MAIL, "api_key_env": "SKY_KEY"},
            "k",
            "https://customer-ensemble-api.open-meteo.com",
            2.0,
        ),
        (FREE | {"open_meteo_address": "http://sky.gin.test"}, None, "http://sky.gin.test", 2.0),
    ],
)
def test_the_ensemble_is_asked_where_the_key_belongs(
    monkeypatch, tmp_path, told, key, address, most_a_second
):
    made = []
    monkeypatch.setattr(
        "forecasts.sources.WeatherClient",
        lambda settings, version, **more: made.append((settings, more)),
    )
    ensemble_source(Sources(ForecastSettings(**told, ensemble=True), tmp_path, key))
    ((settings, more),) = made

    assert more.pop("paces")
    assert more == {"address": address, "media": "application/json"}
    assert settings.requests_per_second == most_a_second


def test_a_key_that_is_named_but_not_there_is_told(tmp_path):
    told = {"contact": MAIL, "api_key_env": "SKY_KEY", "extend": "open_meteo", "ensemble": True}
    with pytest.raises(ForecastError, match="api_key_env: got a key's name but no key"):
        ensemble_source(Sources(ForecastSettings(**told), tmp_path))


def look_further(told, memory=None):
    return fetch_further(
        [HOME],
        NOW,
        source=OpenMeteoSource(PointScript(**{"/v1/forecast": told, "/data/": runs(NOW)})),
        asked=Asked(memory or MemoryInProcess(), 14.0, NOW),
        time_s=60,
    )


def test_the_further_look_is_sixteen_days_long_and_is_kept():
    memory = MemoryInProcess()
    fetched = look_further(open_meteo(16 * 24), memory)

    assert fetched.forecast.temp_f.shape == (1, FURTHER_HOURS)
    # The answer begins at midnight, eleven hours before: so many of the 384 are left.
    assert (fetched.forecast.temp_f[0] == 68.0).sum() == 384 - 11
    (cell_id,) = fetched.forecast.cell_ids
    assert memory.latest(cell_id) is not None
    # The place's own cell is the leader's to keep.
    assert memory.grid_cell(HOME.latitude, HOME.longitude) is None


def test_a_further_look_that_fails_says_why():
    fetched = look_further(down())
    assert fetched.forecast.source == ("",)
    assert "503" in fetched.forecast.problem[0]
