"""A morning's fetch: what is asked, shared, remembered and laid on one grid."""

from datetime import datetime, timedelta

import numpy as np
import pytest

from farm.grid_cell import GridCell
from forecasts.memory import MemoryInProcess
from tests.forecasts.answers import NOW, gridpoint, layer, point, shifted
from tests.forecasts.scripted import (
    CELL,
    CELL_FAR,
    FAR,
    HOME,
    NEXT_DOOR,
    POINT_FAR,
    POINT_HOME,
    POINT_NEXT_DOOR,
    Script,
    down,
    morning,
    problem_of,
    temp_f,
)


def whole(**changes) -> dict:
    told = {
        POINT_HOME: point(),
        POINT_NEXT_DOOR: point(),
        POINT_FAR: point(column=50),
        CELL: gridpoint(),
        CELL_FAR: shifted(gridpoint(gridX="50"), 1.0),
    }
    return told | changes


def test_fields_in_one_cell_share_one_request_and_one_row():
    script = Script(whole())
    fetched = morning(script, (HOME, FAR, NEXT_DOOR))

    assert fetched.row_of == {"home": 0, "far": 1, "next-door": 0}
    assert fetched.forecast.cell_ids == ("nws:XYZ/12,34", "nws:XYZ/50,34")
    assert fetched.forecast.problem == ("", "")
    assert fetched.any_known
    assert fetched.requests == 5
    assert script.paths.count(CELL) == 1


def test_the_forecast_starts_in_the_hour_of_the_morning():
    temperatures = layer(
        "wmoUnit:degF",
        ("2026-10-06T06:00:00+00:00/PT5H", 50),
        ("2026-10-06T11:00:00+00:00/PT1H", 61),
        ("2026-10-06T12:00:00+00:00/PT1H", 62),
    )
    script = Script(whole() | {CELL: gridpoint(temperature=temperatures)})
    fetched = morning(script, now=NOW + timedelta(minutes=40))

    assert fetched.forecast.start_utc == NOW
    np.testing.assert_array_equal(fetched.forecast.temp_f[0, :3], [61, 62, np.nan])
    assert fetched.forecast.issued_utc == (datetime.fromisoformat("2026-10-06T10:00:00+00:00"),)


def test_cells_are_remembered_and_asked_for_again_when_old():
    script, memory = Script(whole()), MemoryInProcess()
    morning(script, memory=memory)
    assert script.paths == [POINT_HOME, CELL]

    morning(script, memory=memory, now=NOW + timedelta(days=14))
    assert script.paths == [CELL]
    morning(script, memory=memory, now=NOW + timedelta(days=14, hours=1))
    assert script.paths == [POINT_HOME, CELL]


def test_an_old_cell_serves_when_it_cannot_be_asked_for_again():
    memory = MemoryInProcess()
    memory.keep_grid_cell(
        HOME.latitude,
        HOME.longitude,
        GridCell(id="nws:XYZ/12,34", resolved_utc=NOW - timedelta(days=30)),
    )
    script = Script(whole() | {POINT_HOME: down()})
    fetched = morning(script, memory=memory)

    assert temp_f(fetched) == 68
    assert problem_of(fetched) == ""


def test_an_unchanged_cell_keeps_its_last_answer():
    memory = MemoryInProcess()
    morning(Script(whole()), memory=memory)
    script = Script({CELL: None})
    fetched = morning(script, memory=memory, now=NOW + timedelta(hours=1))

    assert script.asked == [(CELL, "Tue, 06 Oct 2026 10:00:00 GMT")]
    assert temp_f(fetched) == 68
    assert problem_of(fetched) == ""


def test_an_old_last_answer_is_asked_for_whole_again():
    memory = MemoryInProcess()
    morning(Script(whole()), memory=memory)
    script = Script(whole())
    morning(script, memory=memory, now=NOW + timedelta(hours=13))

    assert script.asked == [(CELL, None)]


def test_a_field_nobody_can_place_has_a_row_of_its_own_and_the_reason():
    fetched = morning(Script(whole() | {POINT_FAR: down()}), (HOME, FAR))

    assert fetched.row_of == {"home": 0, "far": 1}
    assert fetched.forecast.cell_ids[1] == "field:far"
    assert np.isnan(fetched.forecast.temp_f[1]).all()
    assert problem_of(fetched, FAR) == (
        "no answer from the weather service (503 Forecast Grid Expired)"
    )
    assert problem_of(fetched, HOME) == ""


def test_nothing_known_at_all_is_said():
    fetched = morning(Script({POINT_HOME: down()}), (HOME,))
    assert not fetched.any_known
    assert morning(Script({}), ()).any_known is False


def test_the_step_count_reaches_its_end():
    steps: list[tuple[int, int]] = []
    script = Script(whole() | {POINT_FAR: down()})
    morning(script, (HOME, FAR, NEXT_DOOR), progress=lambda done, all_: steps.append((done, all_)))

    assert steps[-1] == (6, 6)
    assert [done for done, _ in steps] == sorted(done for done, _ in steps)


def test_a_moment_without_a_time_zone_is_refused():
    with pytest.raises(ValueError, match="wanted one with its time zone"):
        morning(Script({}), now=datetime(2026, 10, 6, 11))
