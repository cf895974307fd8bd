from datetime import UTC, datetime, timedelta
from urllib.parse import parse_qs, urlsplit

import numpy as np
import pytest

from forecasts.cells import Place
from forecasts.errors import ForecastError
from forecasts.fetch import fetch_hourly
from forecasts.later_rounds import LaterRounds
from forecasts.memory import MemoryInProcess
from forecasts.open_meteo import POINTS_AT_ONCE, OpenMeteoSource
from forecasts.open_meteo_runs import RUNS
from forecasts.settings import ForecastSettings
from tests.forecasts.answers import NOW, Clock
from tests.forecasts.point_answers import open_meteo, runs
from tests.forecasts.point_script import PointScript
from tests.forecasts.scripted import FAR, HOME, NEXT_DOOR, problem_of, temp_f

SETTINGS = ForecastSettings(source="open_meteo", non_commercial=True)
OUT_AT = datetime(2026, 10, 6, 5, 10, tzinfo=UTC)


def spots(path: str) -> list[tuple[float, float]]:
    """The points a path asks for."""
    asked = parse_qs(urlsplit(path).query)
    pairs = zip(asked["latitude"][0].split(","), asked["longitude"][0].split(","), strict=True)
    return [(float(lat), float(lon)) for lat, lon in pairs]


def steady(path: str):
    """An answer for every point asked for, as warm as its latitude."""
    told = [
        open_meteo(latitude=lat, longitude=lon, temperature_2m=[lat] * 72)
        for lat, lon in spots(path)
    ]
    return told if len(told) > 1 else told[0]


def script(forecast=steady, **others):
    times = {one: runs(OUT_AT + timedelta(hours=hour)) for hour, one in enumerate(RUNS)}
    return PointScript(**{**times, **others, "/v1/forecast": forecast})


def morning(transport, places=(HOME,), key=None, memory=None, **more):
    return fetch_hourly(
        places,
        NOW,
        source=OpenMeteoSource(transport, key),
        memory=memory or MemoryInProcess(),
        settings=SETTINGS,
        **more,
    )


def forecast_paths(transport) -> list[str]:
    return [one for one in transport.paths if one.startswith("/v1/forecast")]


def test_a_place_has_a_forecast_with_its_source_and_issue_time():
    fetched = morning(script())

    assert temp_f(fetched) == pytest.approx(34.75)
    assert fetched.forecast.source == ("Open-Meteo.com (CC BY 4.0)",)
    assert fetched.forecast.cell_ids == ("open_meteo:34.75,-101.75",)
    assert fetched.forecast.problem == ("",)


def test_the_oldest_run_behind_it_is_its_issue_time():
    assert morning(script()).forecast.issued_utc == (OUT_AT,)
    late = morning(script(**{RUNS[2]: runs(OUT_AT - timedelta(hours=9))}))
    assert late.forecast.issued_utc == (OUT_AT - timedelta(hours=9),)


@pytest.mark.parametrize("told", [{}, {"last_run_availability_time": "x"}, [1], OSError])
def test_the_age_is_not_known_where_a_run_does_not_tell(told):
    told = ForecastError("no answer", True) if told is OSError else told
    fetched = morning(script(**{RUNS[1]: told}))

    assert fetched.forecast.issued_utc == (None,)
    assert any("age is not known" in one for one in fetched.forecast.rejected[0])
    assert temp_f(fetched) == pytest.approx(34.75)


def test_hours_are_asked_for_in_seconds_and_greenwich_time():
    transport = script()
    morning(transport)
    asked = parse_qs(urlsplit(forecast_paths(transport)[0]).query)

    assert asked["timezone"] == ["GMT"]
    assert asked["timeformat"] == ["unixtime"]
    assert asked["forecast_days"] == ["16"]
    assert asked["models"] == ["gfs_seamless"]
    assert "apikey" not in asked


def test_neighbours_share_a_point_and_many_points_share_a_question():
    transport = script()
    fetched = morning(transport, (HOME, NEXT_DOOR, FAR))

    assert spots(forecast_paths(transport)[0]) == [(34.75, -101.75), (34.75, -100.75)]
    assert len(forecast_paths(transport)) == 1
    assert fetched.row_of["home"] == fetched.row_of["next-door"] != fetched.row_of["far"]
    assert fetched.requests == 1 + len(RUNS)


def test_more_points_than_fit_are_asked_for_in_further_questions():
    places = [Place(f"f{row}", 33 + row * 0.1, -101.0) for row in range(2 * POINTS_AT_ONCE + 3)]
    transport = script()
    fetched = morning(transport, places)

    assert [len(spots(one)) for one in forecast_paths(transport)] == [20, 20, 3]
    assert not any(fetched.forecast.problem)
    for place in places:
        assert temp_f(fetched, place) == pytest.approx(place.latitude, abs=0.013)


def test_a_failed_question_is_not_asked_again_for_each_of_its_points():
    transport = script(ForecastError("no answer from the weather service (503)", False))
    fetched = morning(transport, (HOME, FAR))

    assert len(forecast_paths(transport)) == 1
    assert problem_of(fetched, FAR) == "no answer from the weather service (503)"
    assert not fetched.any_known


def test_a_failed_question_is_asked_again_in_a_later_round():
    told = [ForecastError("no answer from the weather service (503)", True)]
    transport = script(lambda path: told.pop() if told else steady(path))
    clock = Clock()
    rounds = LaterRounds(
        SETTINGS.model_copy(update={"ask_again_s": 60.0}), sleep=clock.sleep, monotonic=clock
    )
    fetched = morning(transport, (HOME, FAR), rounds=rounds)

    assert fetched.forecast.problem == ("", "")
    assert len(forecast_paths(transport)) == 2


def test_an_answer_for_fewer_points_than_asked_is_refused():
    fetched = morning(script(lambda path: open_meteo()), (HOME, FAR))

    assert problem_of(fetched, HOME) == "Open-Meteo told 1 of 2 points"
    assert not fetched.any_known


def test_an_answer_for_another_place_is_refused():
    fetched = morning(script(lambda path: open_meteo(latitude=36.0)))

    assert "for another place" in problem_of(fetched)
    assert not fetched.any_known


def test_a_point_that_cannot_be_read_leaves_the_others_theirs():
    def one_broken(path):
        told = steady(path)
        told[0]["hourly"]["time"] = []
        return told

    fetched = morning(script(one_broken), (HOME, FAR))

    assert "hours that are none" in problem_of(fetched, HOME)
    assert temp_f(fetched, FAR) == pytest.approx(34.75)


def test_the_key_is_sent_and_told_to_nobody():
    key = "s&cret/77"
    transport = script(lambda path: ForecastError(f"cannot be asked ({path}) {key}", False))
    fetched = morning(transport, key=key)

    assert transport.paths[0].endswith("/meta.json?apikey=s%26cret%2F77")
    assert forecast_paths(transport)[0].endswith("&apikey=s%26cret%2F77")
    assert "(key)" in problem_of(fetched)
    assert "s&cret" not in problem_of(fetched)
    assert "s%26cret" not in problem_of(fetched)


def test_a_cell_of_another_provider_is_asked_for_anew():
    memory = MemoryInProcess()
    home = OpenMeteoSource(script()).resolve(HOME.latitude, HOME.longitude, NOW)
    memory.keep_grid_cell(
        HOME.latitude, HOME.longitude, home.model_copy(update={"id": "nws:XYZ/1,2"})
    )

    assert temp_f(morning(script(), memory=memory)) == pytest.approx(34.75)


def test_an_unknown_cell_is_gone():
    cell = OpenMeteoSource(script()).resolve(0, 0, NOW).model_copy(update={"id": "open_meteo:a,b"})
    with pytest.raises(ForecastError, match="not one of Open-Meteo") as caught:
        OpenMeteoSource(script()).fetch(cell, None, NOW)
    assert caught.value.gone


def test_sixteen_days_reach_past_the_nine_a_morning_looks_at():
    fetched = morning(script(lambda path: open_meteo(384)))
    assert not np.isnan(fetched.forecast.temp_f).any()
