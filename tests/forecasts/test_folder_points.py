from datetime import timedelta

import numpy as np
import pytest

from forecasts.fetch import fetch_hourly
from forecasts.memory import MemoryInProcess
from forecasts.open_meteo_runs import RUNS
from forecasts.settings import ForecastSettings
from forecasts.sources import Sources
from tests.forecasts.answers import NOW, as_bytes, gridpoint, point, problem
from tests.forecasts.point_answers import DAY, met_norway, open_meteo, runs
from tests.forecasts.scripted import FAR, HOME, problem_of, temp_f

OPEN_METEO = "open_meteo_34.7500,-101.7600.json"
MET_NORWAY = "met_norway_34.75,-101.75.json"


def write(folder, **answers):
    for name, answer in answers.items():
        (folder / name).write_bytes(answer if isinstance(answer, bytes) else as_bytes(answer))


def told_runs() -> dict:
    """The runs, an hour apart, the oldest at the start of the day."""
    times = {one: DAY + timedelta(hours=hour) for hour, one in enumerate(RUNS)}
    return {f"open_meteo_runs_{one}.json": runs(at) for one, at in times.items()}


def fetch(folder, *places, memory=None, **told):
    settings = ForecastSettings(source="folder", path=".", **told)
    return fetch_hourly(
        places or (HOME,),
        NOW,
        source=Sources(settings, folder).named("folder"),
        memory=memory or MemoryInProcess(),
        settings=settings,
        stand_in=settings.stand_in and Sources(settings, folder).named(settings.stand_in),
    )


def test_answers_of_open_meteo_are_replayed_with_the_age_of_their_runs(tmp_path):
    write(tmp_path, **{OPEN_METEO: open_meteo()}, **told_runs())
    fetched = fetch(tmp_path)

    assert temp_f(fetched) == pytest.approx(68.0)
    assert fetched.forecast.cell_ids == ("open_meteo:34.7500,-101.7600",)
    assert fetched.forecast.issued_utc == (DAY,)
    assert fetched.forecast.source == ("Open-Meteo.com (CC BY 4.0)",)


def test_without_the_runs_their_age_is_not_known(tmp_path):
    write(tmp_path, **{OPEN_METEO: open_meteo()}, **told_runs())
    (tmp_path / f"open_meteo_runs_{RUNS[-1]}.json").unlink()

    assert fetch(tmp_path).forecast.issued_utc == (None,)


def test_of_several_points_in_a_file_the_nearest_is_taken(tmp_path):
    points = [open_meteo(latitude=30.0, temperature_2m=[50.0] * 72), open_meteo()]
    write(tmp_path, **{OPEN_METEO: points})

    assert temp_f(fetch(tmp_path)) == pytest.approx(68.0)


def test_answers_of_met_norway_are_replayed(tmp_path):
    write(tmp_path, **{MET_NORWAY: met_norway()})
    fetched = fetch(tmp_path)

    assert temp_f(fetched) == pytest.approx(68.0)
    assert fetched.forecast.source == ("Data from MET Norway (CC BY 4.0)",)


def test_the_us_service_comes_first_then_open_meteo_then_met_norway(tmp_path):
    write(tmp_path, **{MET_NORWAY: met_norway()})
    write(tmp_path, **{OPEN_METEO: open_meteo(temperature_2m=[60.0] * 72)})
    assert temp_f(fetch(tmp_path)) == pytest.approx(60.0)

    write(tmp_path, **{"gridpoints_XYZ_12,34.json": gridpoint()})
    assert fetch(tmp_path).forecast.source == ("US National Weather Service",)


def test_a_place_far_from_every_point_has_none(tmp_path):
    write(tmp_path, **{MET_NORWAY: met_norway(), OPEN_METEO: open_meteo()})
    fetched = fetch(tmp_path, HOME, FAR)

    assert "no points_34.75,-100.75.json" in problem_of(fetched, FAR)
    assert np.isnan(temp_f(fetched, FAR))
    assert temp_f(fetched, HOME) == pytest.approx(68.0)


def test_a_cell_remembered_from_the_network_is_looked_for_anew(tmp_path):
    write(tmp_path, **{OPEN_METEO: open_meteo()})
    memory = MemoryInProcess()
    first = fetch(tmp_path, memory=memory)
    (tmp_path / OPEN_METEO).rename(tmp_path / "open_meteo_34.75,-101.75.json")

    assert first.forecast.cell_ids == ("open_meteo:34.7500,-101.7600",)
    assert fetch(tmp_path, memory=memory).forecast.cell_ids == ("open_meteo:34.75,-101.75",)


@pytest.mark.parametrize("body", [b"", b"[]", b"<html>", as_bytes(problem("x", 500))])
def test_a_recorded_problem_is_a_problem(tmp_path, body):
    write(tmp_path, **{OPEN_METEO: body})
    fetched = fetch(tmp_path)

    assert "Open-Meteo" in problem_of(fetched)
    assert not fetched.any_known


def test_other_files_are_passed_over(tmp_path):
    write(tmp_path, **{"open_meteo_91,-101.75.json": b"", "open_meteo_x.json": b"", "a.txt": b""})
    assert "no gridpoints file is for this place" in problem_of(fetch(tmp_path))


def test_the_stand_in_of_a_replay_is_that_providers_files(tmp_path):
    write(
        tmp_path,
        **{
            "points_34.75,-101.75.json": point(),
            "gridpoints_XYZ_12,34.json": problem("Forecast Grid Expired", 503),
            MET_NORWAY: met_norway(),
        },
    )
    alone = fetch(tmp_path)
    assert not alone.any_known

    fetched = fetch(tmp_path, stand_in="met_norway")
    assert temp_f(fetched) == pytest.approx(68.0)
    assert fetched.forecast.source == ("Data from MET Norway (CC BY 4.0)",)
    assert problem_of(fetched) == (
        "no answer from the weather service (503 Forecast Grid Expired); "
        "in its place: Data from MET Norway (CC BY 4.0)"
    )
