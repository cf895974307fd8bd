"""A morning's fetch when cells fail, move, go backwards or answer for another place."""

from datetime import timedelta

import numpy as np
import pytest

from forecasts.memory import MemoryInProcess
from tests.forecasts.answers import NOW, START, gridpoint, layer, point, shifted
from tests.forecasts.scripted import (
    CELL,
    CELL_FAR,
    CELL_MOVED,
    FAR,
    HOME,
    NEXT_DOOR,
    POINT_FAR,
    POINT_HOME,
    POINT_NEXT_DOOR,
    Script,
    down,
    gone,
    morning,
    problem_of,
    temp_f,
)

LATER = NOW + timedelta(hours=6)


def warmed(fahrenheit: float, issued: str = "2026-10-06T16:00:00+00:00") -> dict:
    return gridpoint(
        temperature=layer("wmoUnit:degF", (f"{START}/P2D", fahrenheit)), updateTime=issued
    )


@pytest.fixture
def memory() -> MemoryInProcess:
    """What is left of a good first morning: 68 F in the home cell."""
    kept = MemoryInProcess()
    morning(Script({POINT_HOME: point(), CELL: gridpoint()}), memory=kept)
    return kept


def test_a_cell_that_fails_keeps_its_last_answer_and_says_since_when(memory):
    fetched = morning(Script({CELL: down()}), memory=memory, now=LATER)

    assert temp_f(fetched) == 68
    assert problem_of(fetched) == (
        "no new forecast since Tue 6 Oct 5 am: "
        "no answer from the weather service (503 Forecast Grid Expired)"
    )
    assert fetched.forecast.issued_utc[0] == NOW - timedelta(hours=1)


@pytest.mark.parametrize("trouble", [down(), RuntimeError("boom"), KeyError("x"), {"a": 1}])
def test_trouble_with_one_cell_stays_with_it(trouble):
    script = Script(
        {
            POINT_HOME: point(),
            POINT_FAR: point(column=50),
            CELL: trouble,
            CELL_FAR: shifted(gridpoint(), 1.0),
        }
    )
    fetched = morning(script, (HOME, FAR))

    assert np.isnan(temp_f(fetched, HOME))
    assert problem_of(fetched, HOME) != ""
    assert "\n" not in problem_of(fetched, HOME)
    assert temp_f(fetched, FAR) == 68
    assert problem_of(fetched, FAR) == ""


def test_a_newer_answer_is_used_and_kept(memory):
    fetched = morning(Script({CELL: warmed(75)}), memory=memory, now=LATER)

    assert temp_f(fetched) == 75
    kept = memory.latest("nws:XYZ/12,34")
    assert kept is not None
    assert kept.issued_utc == NOW + timedelta(hours=5)


def test_an_older_answer_is_never_a_step_backwards(memory):
    older = warmed(60, "2026-10-06T04:00:00+00:00")
    fetched = morning(Script({CELL: older}), memory=memory, now=LATER)

    assert temp_f(fetched) == 68
    assert "the new answer is an older one" in problem_of(fetched)


@pytest.mark.parametrize("fahrenheit", [20, 89])
def test_an_answer_that_cannot_follow_the_last_is_neither_used_nor_kept(memory, fahrenheit):
    fetched = morning(Script({CELL: warmed(fahrenheit)}), memory=memory, now=LATER)

    assert temp_f(fetched) == 68
    assert "F away from the last" in problem_of(fetched)
    kept = memory.latest("nws:XYZ/12,34")
    assert kept is not None
    assert kept.issued_utc == NOW - timedelta(hours=1)


def test_an_answer_without_its_age_is_shown_but_never_kept():
    memory = MemoryInProcess()
    script = Script({POINT_HOME: point(), CELL: gridpoint(updateTime=None)})
    fetched = morning(script, memory=memory)

    assert temp_f(fetched) == 68
    assert fetched.forecast.issued_utc == (None,)
    assert "age is not known" in fetched.forecast.rejected[0][0]
    assert memory.latest("nws:XYZ/12,34") is None


def test_a_kept_answer_from_after_the_moment_looked_at_is_not_used(memory):
    earlier = NOW - timedelta(hours=5)
    past = warmed(61, "2026-10-06T05:00:00+00:00")
    fetched = morning(Script({POINT_HOME: point(), CELL: past}), memory=memory, now=earlier)

    assert temp_f(fetched) == 61
    assert problem_of(fetched) == ""
    failing = morning(Script({CELL: down()}), memory=memory, now=earlier)
    assert np.isnan(temp_f(failing))


def test_a_cell_that_is_gone_is_looked_up_once_more(memory):
    script = Script({POINT_HOME: point(column=13), CELL: gone(), CELL_MOVED: gridpoint(gridX="13")})
    fetched = morning(script, memory=memory)

    assert script.paths == [CELL, POINT_HOME, CELL_MOVED]
    assert fetched.forecast.cell_ids == ("nws:XYZ/13,34",)
    assert temp_f(fetched) == 68
    assert problem_of(fetched) == ""


def test_a_cell_that_stays_gone_keeps_its_last_answer(memory):
    script = Script({POINT_HOME: point(), CELL: gone()})
    fetched = morning(script, memory=memory)

    assert script.paths == [CELL, POINT_HOME]
    assert temp_f(fetched) == 68
    assert "404 Not Found" in problem_of(fetched)


def test_a_grid_that_moved_under_a_remembered_cell_is_noticed(memory):
    elsewhere = shifted(warmed(75), 0.1)
    script = Script({POINT_HOME: point(column=13), CELL: elsewhere, CELL_MOVED: warmed(70)})
    fetched = morning(script, memory=memory, now=LATER)

    assert temp_f(fetched) == 70
    assert fetched.forecast.cell_ids == ("nws:XYZ/13,34",)
    kept = memory.latest("nws:XYZ/12,34")
    assert kept is not None
    assert kept.issued_utc == NOW - timedelta(hours=1)


def test_an_answer_for_another_place_is_not_used():
    elsewhere = shifted(gridpoint(), 0.1)
    script = Script({POINT_HOME: point(), CELL: elsewhere})
    fetched = morning(script)

    assert script.paths == [POINT_HOME, CELL, POINT_HOME]
    assert np.isnan(fetched.forecast.temp_f).all()
    assert "for another place" in problem_of(fetched)
    assert not fetched.any_known


def test_an_answer_without_an_outline_is_not_believed():
    script = Script({POINT_HOME: point(), CELL: gridpoint() | {"geometry": None}})
    assert "for another place" in problem_of(morning(script))


def test_only_the_fields_outside_the_outline_lose_their_forecast():
    script = Script({POINT_HOME: point(), POINT_FAR: point(), CELL: gridpoint()})
    fetched = morning(script, (FAR, HOME))

    assert temp_f(fetched, HOME) == 68
    assert problem_of(fetched, HOME) == ""
    assert np.isnan(temp_f(fetched, FAR))
    assert problem_of(fetched, FAR) == "the weather service's answer is for another place"


def test_a_field_that_moves_into_a_cell_others_share_costs_no_second_request():
    script = Script(
        {
            POINT_HOME: [point(column=13), point()],
            POINT_NEXT_DOOR: point(),
            CELL_MOVED: shifted(gridpoint(), 0.1),
            CELL: gridpoint(),
        }
    )
    fetched = morning(script, (HOME, NEXT_DOOR))

    assert fetched.row_of == {"home": 0, "next-door": 0}
    assert script.paths.count(CELL) == 1
    assert temp_f(fetched, HOME) == 68


def test_cells_not_reached_in_time_use_the_last_answer_or_say_so(memory):
    script = Script({POINT_FAR: point(column=50)}, budget=1)
    fetched = morning(script, (FAR, HOME), memory=memory, now=LATER)

    assert script.paths == [POINT_FAR]
    assert temp_f(fetched, HOME) == 68
    assert "time for asking ran out" in problem_of(fetched, HOME)
    assert problem_of(fetched, FAR) == "the time for asking ran out before this cell's turn"


def test_a_memory_that_cannot_keep_costs_nobody_the_forecast():
    class Full(MemoryInProcess):
        def keep(self, cell) -> bool:
            raise OSError("disk full")

    fetched = morning(Script({POINT_HOME: point(), CELL: gridpoint()}), memory=Full())

    assert temp_f(fetched) == 68
    assert "could not be kept" in problem_of(fetched)


def test_a_stale_answer_with_a_good_status_just_ages():
    script = Script({POINT_HOME: point(), CELL: gridpoint(updateTime="2026-10-04T10:00:00+00:00")})
    fetched = morning(script)

    assert temp_f(fetched) == 68
    assert fetched.forecast.issued_utc[0] == NOW - timedelta(hours=49)


def test_a_cell_that_is_gone_is_forgotten_even_if_no_other_can_be_found_today(memory):
    fetched = morning(Script({POINT_HOME: down(), CELL: gone()}), memory=memory)

    assert memory.grid_cell(HOME.latitude, HOME.longitude) is None
    assert temp_f(fetched) == 68
    assert "404 Not Found" in problem_of(fetched)
