"""Fields told by different sources in one morning: each cell once, one time limit, one bar."""

import pytest

from forecasts.asked import Asked
from forecasts.cells import Place
from forecasts.errors import ForecastError
from forecasts.fetch import Team, fetch_hourly
from forecasts.further import fetch_further
from forecasts.later_rounds import LaterRounds
from forecasts.memory import MemoryInProcess
from forecasts.met_norway import MetNorwaySource
from forecasts.nws import NwsSource
from forecasts.open_meteo import OpenMeteoSource
from forecasts.settings import ForecastSettings
from forecasts.turns import Turns
from tests.forecasts.answers import NOW, Clock, gridpoint, point, shifted
from tests.forecasts.point_answers import open_meteo, runs
from tests.forecasts.point_script import PointScript
from tests.forecasts.scripted import (
    CELL,
    CELL_FAR,
    FAR,
    HOME,
    NEXT_DOOR,
    POINT_FAR,
    POINT_HOME,
    Script,
    down,
    problem_of,
)
from tests.forecasts.test_standing_in import NORWAY, US, norway, source_of

OPEN = "Open-Meteo.com (CC BY 4.0)"


def met(**told) -> MetNorwaySource:
    return MetNorwaySource(PointScript(complete=told.get("complete", norway)))


def us(answers) -> NwsSource:
    return NwsSource(Script(answers))


def fetched_by(lead, teams, places, settings=None, **more):
    settings = settings or ForecastSettings(contact="x@y.example")
    memory = more.pop("memory", None) or MemoryInProcess()
    return fetch_hourly(
        places, NOW, source=lead, memory=memory, settings=settings, teams=teams, **more
    )


def test_each_field_is_told_by_who_leads_there():
    other = met()
    fetched = fetched_by(
        us({POINT_HOME: point(), CELL: gridpoint()}), {"far": Team(other)}, (HOME, FAR)
    )

    assert source_of(fetched, HOME) == US
    assert source_of(fetched, FAR) == NORWAY
    # Two questions for the one, its place and its cell; one for the other.
    assert (fetched.requests, other.requests) == (3, 1)


def test_a_cell_is_asked_once_though_it_leads_here_and_stands_in_there():
    """HOME and NEXT_DOOR lie in one cell of MET Norway, as both do in one of the US service."""
    other = met()
    lead = us({POINT_HOME: point(), CELL: down()})
    teams = {"next-door": Team(other), "home": Team(lead, other)}
    fetched = fetched_by(lead, teams, (HOME, NEXT_DOOR))

    assert source_of(fetched, HOME) == source_of(fetched, NEXT_DOOR) == NORWAY
    assert fetched.requests == 3
    assert "503" in problem_of(fetched, HOME)
    assert problem_of(fetched, NEXT_DOOR) == ""


def test_a_cell_that_told_nothing_is_not_asked_again_by_who_stands_in():
    other = met(complete=down())
    lead = us({POINT_HOME: point(), CELL: down()})
    teams = {"next-door": Team(other), "home": Team(lead, other)}
    fetched = fetched_by(lead, teams, (HOME, NEXT_DOOR))

    assert not fetched.any_known
    assert fetched.requests == 3


def test_one_source_down_leaves_the_fields_of_the_others_as_they_are():
    lead = us({POINT_HOME: down(), POINT_FAR: point(column=50)})
    fetched = fetched_by(lead, {"far": Team(met())}, (HOME, FAR))

    assert source_of(fetched, HOME) == ""
    assert "503" in problem_of(fetched, HOME)
    assert source_of(fetched, FAR) == NORWAY
    assert problem_of(fetched, FAR) == ""


def test_a_refusal_is_told_by_its_service_and_for_its_fields_alone():
    refused = ForecastError("it refuses; set [forecast] contact", False, setting="contact")
    lead = us({POINT_HOME: refused})
    fetched = fetched_by(lead, {"far": Team(met())}, (HOME, FAR))

    assert fetched.refusals == {"nws": 'source "nws": it refuses; set [forecast] contact'}
    assert fetched.refusal == 'source "nws": it refuses; set [forecast] contact'
    assert "it refuses" in problem_of(fetched, HOME)
    assert problem_of(fetched, FAR) == ""


def test_each_keeps_the_cells_of_the_places_it_leads_alone():
    memory = MemoryInProcess()
    other = met()
    lead = us({POINT_HOME: point(), CELL: down()})
    teams = {"home": Team(lead, other), "far": Team(other)}
    fetched_by(lead, teams, (HOME, FAR), memory=memory)

    assert memory.grid_cell(HOME.latitude, HOME.longitude).id == "nws:XYZ/12,34"
    assert memory.grid_cell(FAR.latitude, FAR.longitude).id == "met_norway:34.75,-100.75"


def test_the_bar_counts_the_fields_of_all():
    steps = []
    lead = us({POINT_HOME: point(), CELL: gridpoint()})
    fetched_by(
        lead,
        {"far": Team(met())},
        (HOME, NEXT_DOOR, FAR),
        progress=lambda done, total: steps.append((done, total)),
    )

    assert steps[-1] == (6, 6)
    assert [done for done, _ in steps] == sorted(done for done, _ in steps)


def test_what_a_stand_in_told_is_not_asked_for_again_by_who_looks_further():
    """HOME's cell is told in its leader's place, FAR's is asked for by the further look alone."""
    script = PointScript(
        **{"/v1/forecast": many, "/data/": runs(NOW)},
    )
    other = OpenMeteoSource(script)
    lead = us({POINT_HOME: down(), POINT_FAR: point(column=50), CELL_FAR: far_cell()})
    asked = Asked(MemoryInProcess(), 14.0, NOW)
    fetched = fetched_by(lead, {}, (HOME, FAR), stand_in=other, asked=asked)
    assert source_of(fetched, HOME) == OPEN
    assert source_of(fetched, FAR) == US
    first = forecasts_asked(script)
    further = fetch_further([HOME, FAR], NOW, source=other, asked=asked, time_s=60)

    assert set(further.forecast.source) == {OPEN}
    assert first == ["34.75,-101.75"]
    # `begin` clears the script's list.
    assert forecasts_asked(script) == ["34.75,-100.75"]


def far_cell():
    return shifted(gridpoint(gridX=50), 1.0)


def many(path: str):
    return open_meteo(384, longitude=float(path.partition("longitude=")[2].partition("&")[0]))


def forecasts_asked(script: PointScript) -> list[str]:
    """The points of the questions for a forecast."""
    asked = [one for one in script.paths if one.startswith("/v1/forecast")]
    return [
        ",".join(one.partition(f"{key}=")[2].partition("&")[0] for key in ("latitude", "longitude"))
        for one in asked
    ]


@pytest.fixture
def clock() -> Clock:
    return Clock()


def test_later_rounds_ask_only_whom_it_may_help(clock):
    settings = ForecastSettings(contact="x@y.example", total_deadline_s=2100)
    script = Script({POINT_HOME: point(), CELL: [down(), gridpoint()]})
    other = met()
    fetched = fetched_by(
        NwsSource(script),
        {"far": Team(other)},
        (HOME, FAR),
        settings,
        rounds=LaterRounds(settings, sleep=clock.sleep, monotonic=clock),
    )

    assert source_of(fetched, HOME) == US
    assert script.paths == [POINT_HOME, CELL, CELL]
    assert other.requests == 1


def test_a_turn_is_a_share_of_the_time_that_is_left(clock):
    turns = Turns(100, clock)
    first = turns.next(0.25)
    clock.now_s += 24
    assert not first()
    clock.now_s += 1
    assert first()
    # 75 s are left for three quarters of the places; half of these may take 37.5 s.
    second = turns.next(0.5)
    clock.now_s += 37
    assert not second()
    clock.now_s += 1
    assert second()


def test_a_source_that_never_answers_leaves_the_others_their_time(clock, monkeypatch):
    """The first of two takes 90 of 100 s for its first cell; the second is asked all the same."""
    monkeypatch.setattr("forecasts.rounds.Turns", lambda time_s: Turns(time_s, clock))

    def slow(path: str):
        clock.now_s += 90
        return down()

    places = [Place(f"slow{number}", 34.75, -101.75 + number) for number in range(3)]
    lead = MetNorwaySource(PointScript(complete=slow))
    told = us({POINT_FAR: point(column=50), CELL_FAR: far_cell()})
    settings = ForecastSettings(contact="x@y.example", total_deadline_s=100)
    fetched = fetched_by(lead, {"far": Team(told)}, (*places, FAR), settings)

    assert lead.requests == 1
    assert "ran out" in problem_of(fetched, places[2])
    assert source_of(fetched, FAR) == US
