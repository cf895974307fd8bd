from datetime import timedelta

import numpy as np
import pytest

from forecasts.fetch import fetch_hourly
from forecasts.memory import MemoryInProcess
from forecasts.met_norway import MetNorwaySource
from forecasts.nws import NwsSource
from forecasts.settings import ForecastSettings
from tests.forecasts.answers import NOW, gridpoint, layer, point, shifted
from tests.forecasts.point_answers import met_norway
from tests.forecasts.point_script import PointScript
from tests.forecasts.scripted import (
    CELL,
    CELL_FAR,
    FAR,
    HOME,
    POINT_FAR,
    POINT_HOME,
    Script,
    down,
    morning,
    problem_of,
    temp_f,
)

SETTINGS = ForecastSettings(contact="x@y.example", stand_in="met_norway")
US, NORWAY = "US National Weather Service", "Data from MET Norway (CC BY 4.0)"


def norway(path: str):
    longitude = float(path.rpartition("=")[2])
    return met_norway(longitude=longitude, updated_at="2026-10-06T09:00:00Z")


def both(lead: Script, other: PointScript, places=(HOME,), memory=None, now=NOW):
    return fetch_hourly(
        places,
        now,
        source=NwsSource(lead),
        memory=memory or MemoryInProcess(),
        settings=SETTINGS,
        stand_in=MetNorwaySource(other),
    )


def source_of(fetched, place=HOME) -> str:
    return fetched.forecast.source[fetched.row_of[place.field_id]]


def test_nobody_is_asked_to_stand_in_where_the_leader_tells():
    other = PointScript(complete=norway)
    fetched = both(Script({POINT_HOME: point(), CELL: gridpoint()}), other)

    assert source_of(fetched) == US
    assert other.requests == 0
    assert fetched.requests == 2


def test_a_cell_without_an_answer_is_told_by_the_stand_in_and_the_others_by_the_leader():
    lead = Script(
        {
            POINT_HOME: point(),
            POINT_FAR: point(column=50),
            CELL: down(),
            CELL_FAR: shifted(gridpoint(gridX=50), 1.0),
        }
    )
    other = PointScript(complete=norway)
    fetched = both(lead, other, (HOME, FAR))

    assert source_of(fetched, HOME) == NORWAY
    assert source_of(fetched, FAR) == US
    assert other.requests == 1
    assert fetched.requests == lead.requests + 1
    assert problem_of(fetched, FAR) == ""


def test_no_hour_of_a_cell_is_taken_from_the_leader_where_another_stands_in():
    memory = MemoryInProcess()
    morning(Script({POINT_HOME: point(), CELL: gridpoint()}), memory=memory)
    fetched = both(
        Script({POINT_HOME: point(), CELL: down()}),
        PointScript(complete=met_norway(updated_at="2026-10-06T20:00:00Z")),
        memory=memory,
        now=NOW + timedelta(hours=12),
    )

    # The leader's last answer has gusts, the other has none: none is told.
    assert source_of(fetched) == NORWAY
    assert np.isnan(fetched.forecast.gust_mph).all()


def test_the_last_good_answer_of_the_leader_goes_before_a_stand_in_while_it_is_fresh():
    memory = MemoryInProcess()
    morning(Script({POINT_HOME: point(), CELL: gridpoint()}), memory=memory)
    other = PointScript(complete=norway)
    lead = Script({POINT_HOME: point(), CELL: down()})
    # Issued at 10 UTC, and NOW is 11.
    fresh = both(lead, other, memory=memory, now=NOW + timedelta(hours=11))
    assert source_of(fresh) == US
    assert other.requests == 0

    old = both(lead, other, memory=memory, now=NOW + timedelta(hours=11, minutes=1))
    assert other.requests == 1
    # MET Norway's own, issued at 9 UTC, is older still.
    assert source_of(old) == US


def test_an_answer_without_an_age_gives_way_to_one_that_has_an_age():
    lead = Script({POINT_HOME: point(), CELL: gridpoint(updateTime=None)})
    assert source_of(both(lead, PointScript(complete=norway))) == NORWAY

    nameless = met_norway(updated_at="")
    assert source_of(both(lead, PointScript(complete=nameless))) == US


def test_where_nobody_tells_both_say_why():
    fetched = both(Script({POINT_HOME: point(), CELL: down()}), PointScript())

    assert not fetched.any_known
    assert problem_of(fetched) == (
        "no answer from the weather service (503 Forecast Grid Expired); "
        "nor in its place: no answer from the weather service (404 Not Found)"
    )


def test_a_place_without_a_cell_is_told_by_the_stand_in_too():
    fetched = both(Script({}), PointScript(complete=norway))

    assert source_of(fetched) == NORWAY
    assert temp_f(fetched) == pytest.approx(68.0)


def test_the_leaders_cell_stays_remembered():
    memory = MemoryInProcess()
    both(Script({POINT_HOME: point(), CELL: down()}), PointScript(complete=norway), memory=memory)
    kept = memory.grid_cell(HOME.latitude, HOME.longitude)

    assert kept is not None
    assert kept.id == "nws:XYZ/12,34"


def test_a_freeze_the_leader_showed_last_stays_beside_what_the_other_tells():
    memory = MemoryInProcess()
    # 26.6 F from 12 to 13 UTC on the 7th, about a day after NOW.
    cold = layer(
        "wmoUnit:degC",
        ("2026-10-06T06:00:00+00:00/P1DT6H", 2.0),
        ("2026-10-07T12:00:00+00:00/PT1H", -3.0),
        ("2026-10-07T13:00:00+00:00/PT17H", 2.0),
    )
    frosty = gridpoint(temperature=cold)
    morning(Script({POINT_HOME: point(), CELL: frosty}), memory=memory)
    now = NOW + timedelta(hours=13)
    new = PointScript(complete=met_norway(updated_at="2026-10-06T20:00:00Z"))
    fetched = both(Script({POINT_HOME: point(), CELL: down()}), new, memory=memory, now=now)

    assert source_of(fetched) == NORWAY
    assert "it showed 27F near Wed 7 Oct 12 pm UTC" in problem_of(fetched)


def test_a_past_freeze_is_not_told_again():
    memory = MemoryInProcess()
    frosty = gridpoint(
        temperature=layer(
            "wmoUnit:degC",
            ("2026-10-06T06:00:00+00:00/PT6H", -3.0),
            ("2026-10-06T12:00:00+00:00/P1DT18H", 2.0),
        )
    )
    morning(Script({POINT_HOME: point(), CELL: frosty}), memory=memory)
    now = NOW + timedelta(hours=13)
    new = PointScript(complete=met_norway(updated_at="2026-10-06T20:00:00Z"))
    fetched = both(Script({POINT_HOME: point(), CELL: down()}), new, memory=memory, now=now)

    assert source_of(fetched) == NORWAY
    assert "it showed" not in problem_of(fetched)
