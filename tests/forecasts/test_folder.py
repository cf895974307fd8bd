import numpy as np
import pytest

from forecasts.errors import ForecastError
from forecasts.fetch import fetch_hourly
from forecasts.folder import FolderSource
from forecasts.memory import MemoryInProcess
from forecasts.nws import NwsSource, point_path
from forecasts.settings import ForecastSettings
from forecasts.sources import Sources
from tests.forecasts.answers import NOW, as_bytes, gridpoint, point, problem, shifted
from tests.forecasts.scripted import FAR, HOME, problem_of, temp_f


def fetch(folder, *places):
    settings = ForecastSettings(source="folder", path=str(folder))
    return fetch_hourly(
        places or (HOME,),
        NOW,
        source=Sources(settings, folder).named("folder"),
        memory=MemoryInProcess(),
        settings=settings,
    )


def write(folder, name: str, answer) -> None:
    (folder / name).write_bytes(answer if isinstance(answer, bytes) else as_bytes(answer))


@pytest.mark.parametrize(
    ("latitude", "longitude", "path"),
    [
        (34.75, -101.75, "/points/34.75,-101.75"),
        (34.7500004, -101.0, "/points/34.75,-101"),
        (33.12345678, -100.00004, "/points/33.1235,-100"),
        (0.00001, -0.00001, "/points/0,0"),
    ],
)
def test_coordinates_are_written_in_their_short_form(latitude, longitude, path):
    assert point_path(latitude, longitude) == path


def test_recorded_answers_are_replayed(tmp_path):
    write(tmp_path, "points_34.75,-101.75.json", point())
    write(tmp_path, "gridpoints_XYZ_12,34.json", gridpoint())
    fetched = fetch(tmp_path)

    assert temp_f(fetched) == 68
    assert problem_of(fetched) == ""
    assert fetched.requests == 0


def test_a_folder_of_gridpoint_answers_alone_is_enough(tmp_path):
    write(tmp_path, "gridpoints_XYZ_50,34.json", shifted(gridpoint(), 1.0))
    write(tmp_path, "gridpoints_XYZ_12,34.json", gridpoint())
    write(tmp_path, "gridpoints_XYZ_13,34.json", b"not an answer")
    write(tmp_path, "notes.txt", b"")
    fetched = fetch(tmp_path, HOME, FAR)

    assert fetched.forecast.cell_ids == ("nws:XYZ/12,34", "nws:XYZ/50,34")
    assert fetched.forecast.problem == ("", "")


def test_a_place_no_file_is_for_says_so(tmp_path):
    write(tmp_path, "gridpoints_XYZ_12,34.json", gridpoint())
    fetched = fetch(tmp_path, HOME, FAR)

    assert temp_f(fetched, HOME) == 68
    assert problem_of(fetched, FAR) == (
        "the folder of recorded answers has no points_34.75,-100.75.json, "
        "and no gridpoints file is for this place"
    )


def test_a_point_naming_a_cell_without_a_file_says_which(tmp_path):
    write(tmp_path, "points_34.75,-101.75.json", point())
    fetched = fetch(tmp_path)

    assert np.isnan(fetched.forecast.temp_f).all()
    assert problem_of(fetched) == (
        "the folder of recorded answers has no gridpoints_XYZ_12,34.json"
    )
    assert not fetched.any_known


def test_a_recorded_problem_is_a_problem(tmp_path):
    write(tmp_path, "points_34.75,-101.75.json", point())
    write(tmp_path, "gridpoints_XYZ_12,34.json", problem("Forecast Grid Expired", 503))

    assert problem_of(fetch(tmp_path)) == (
        "no answer from the weather service (503 Forecast Grid Expired)"
    )


def test_a_recorded_point_that_is_a_404_lets_the_outlines_speak(tmp_path):
    write(tmp_path, "points_34.75,-101.75.json", problem("Not Found", 404))
    write(tmp_path, "gridpoints_XYZ_12,34.json", gridpoint())

    assert temp_f(fetch(tmp_path)) == 68


def test_a_point_cannot_name_a_file_outside_the_folder(tmp_path):
    write(tmp_path, "points_34.75,-101.75.json", point(office="../../etc"))
    assert "no forecast cell" in problem_of(fetch(tmp_path))


def test_the_folder_lies_beside_the_config_file(tmp_path):
    (tmp_path / "answers").mkdir()
    settings = ForecastSettings(source="folder", path="answers")
    assert isinstance(Sources(settings, tmp_path).named("folder"), FolderSource)


def test_a_folder_that_is_not_there_is_refused(tmp_path):
    settings = ForecastSettings(source="folder", path="nowhere")
    with pytest.raises(ForecastError, match=r"\[forecast\] path: got 'nowhere'"):
        Sources(settings, tmp_path).named("folder")


def test_the_network_is_the_default_source(tmp_path):
    source = Sources(ForecastSettings(contact="x@y.example"), tmp_path).named("nws")
    assert isinstance(source, NwsSource)


def test_recorded_answers_of_the_service_make_a_morning(tmp_path, recorded_answers):
    payloads = recorded_answers / "payloads"
    recorded = payloads / "nws_gridpoints" / "LZK_83_73__2024-02-20.json"
    write(tmp_path, "points_34.75,-101.75.json", point("LZK", 83, 73))
    write(tmp_path, "gridpoints_LZK_83,73.json", recorded.read_bytes())

    # The recorded cell lies in Arkansas and must not be taken for a place in Texas.
    assert "for another place" in problem_of(fetch(tmp_path))
