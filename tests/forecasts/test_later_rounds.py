"""A morning that asks again, some minutes later, what could not be answered at once."""

import numpy as np
import pytest

from forecasts.cells import Place
from forecasts.errors import ForecastError
from forecasts.fetch import fetch_hourly
from forecasts.later_rounds import LaterRounds
from forecasts.memory import MemoryInProcess
from forecasts.nws import NwsSource
from forecasts.settings import ForecastSettings
from tests.forecasts.answers import NOW, Clock, gridpoint, point
from tests.forecasts.scripted import (
    CELL,
    FAR,
    HOME,
    POINT_FAR,
    POINT_HOME,
    Script,
    down,
    gone,
    problem_of,
    temp_f,
)


@pytest.fixture
def clock() -> Clock:
    return Clock()


def patient_morning(script: Script, clock: Clock, *places: Place, minutes: float, progress=None):
    settings = ForecastSettings(contact="x@y.example", total_deadline_s=60 * minutes)
    return fetch_hourly(
        places,
        NOW,
        source=NwsSource(script),
        memory=MemoryInProcess(),
        settings=settings,
        progress=progress,
        rounds=LaterRounds(settings, sleep=clock.sleep, monotonic=clock),
    )


def test_an_office_that_renews_its_forecast_in_time_is_heard(clock):
    script = Script({POINT_HOME: point(), CELL: [down(), down(), gridpoint()]})
    fetched = patient_morning(script, clock, HOME, minutes=35)

    assert script.paths == [POINT_HOME, CELL, CELL, CELL]
    assert clock.now_s - 1000 == pytest.approx(1800)
    assert temp_f(fetched) == 68
    assert problem_of(fetched) == ""


def test_no_round_begins_that_would_end_after_the_morning(clock):
    script = Script({POINT_HOME: point(), CELL: down()})
    fetched = patient_morning(script, clock, HOME, minutes=35)

    assert script.paths.count(CELL) == 3
    assert clock.now_s - 1000 <= 35 * 60
    assert "503 Forecast Grid Expired" in problem_of(fetched)


def test_by_default_nobody_waits_a_quarter_of_an_hour(clock):
    script = Script({POINT_HOME: point(), CELL: down()})
    patient_morning(script, clock, HOME, minutes=15)

    assert clock.slept_s == []


def test_only_what_may_still_be_answered_is_asked_again(clock):
    script = Script({POINT_HOME: point(), CELL: gridpoint(), POINT_FAR: gone()})
    patient_morning(script, clock, HOME, FAR, minutes=35)

    assert clock.slept_s == []
    assert script.paths == [POINT_HOME, POINT_FAR, CELL]


def test_a_place_that_could_not_be_looked_up_is_looked_up_again(clock):
    script = Script({POINT_HOME: [down(), point()], CELL: gridpoint()})
    fetched = patient_morning(script, clock, HOME, minutes=35)

    assert script.paths == [POINT_HOME, POINT_HOME, CELL]
    assert temp_f(fetched) == 68


def test_somebody_who_watches_can_end_the_waiting(clock):
    class Stopped(Exception):
        pass

    def watch(done: int, steps: int) -> None:
        if clock.slept_s:
            raise Stopped

    script = Script({POINT_HOME: point(), CELL: down()})
    with pytest.raises(Stopped):
        patient_morning(script, clock, HOME, minutes=35, progress=watch)
    assert sum(clock.slept_s) < 5


def test_a_service_that_refuses_us_is_told_apart_with_what_to_set(clock):
    refused = ForecastError("it refuses; set [forecast] contact", False, setting="contact")
    fetched = patient_morning(Script({POINT_HOME: refused}), clock, HOME, minutes=35)

    assert fetched.refusal == "it refuses; set [forecast] contact"
    assert np.isnan(temp_f(fetched))
    assert clock.slept_s == []


def test_a_service_that_answers_refuses_nobody(clock):
    script = Script({POINT_HOME: point(), CELL: gridpoint(), POINT_FAR: down()})
    assert patient_morning(script, clock, HOME, FAR, minutes=15).refusal == ""
