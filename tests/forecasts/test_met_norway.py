from datetime import UTC, datetime, timedelta
from email.utils import format_datetime
from pathlib import Path

import pytest
import responses

from forecasts.errors import ForecastError
from forecasts.fetch import fetch_hourly
from forecasts.memory import MemoryInProcess
from forecasts.met_norway import MetNorwaySource
from forecasts.settings import ForecastSettings
from forecasts.sources import Sources
from forecasts.transport import Answer
from tests.forecasts.answers import NOW, as_bytes
from tests.forecasts.point_answers import met_norway
from tests.forecasts.point_script import PointScript
from tests.forecasts.scripted import HOME, problem_of, temp_f

SETTINGS = ForecastSettings(source="met_norway", contact="sky@gin.test")
CHANGED = "Tue, 06 Oct 2026 07:31:00 GMT"
PATH = "/weatherapi/locationforecast/2.0/complete?lat=34.75&lon=-101.75"


def expiring(until: datetime | None, answer=None) -> Answer:
    expires = None if until is None else format_datetime(until, usegmt=True)
    return Answer(as_bytes(answer or met_norway()), CHANGED, expires)


def morning(transport, memory, now=NOW):
    return fetch_hourly(
        [HOME], now, source=MetNorwaySource(transport), memory=memory, settings=SETTINGS
    )


def test_a_place_has_a_forecast_that_names_its_credit():
    transport = PointScript(complete=expiring(NOW + timedelta(minutes=30)))
    fetched = morning(transport, MemoryInProcess())

    assert temp_f(fetched) == pytest.approx(68.0)
    assert fetched.forecast.source == ("Data from MET Norway (CC BY 4.0)",)
    assert fetched.forecast.issued_utc == (datetime(2026, 10, 6, 7, 30, tzinfo=UTC),)
    assert transport.asked == [(PATH, None)]


def test_nothing_is_asked_before_the_answer_expires():
    memory = MemoryInProcess()
    transport = PointScript(complete=expiring(NOW + timedelta(minutes=30)))
    morning(transport, memory)
    again = morning(transport, memory, NOW + timedelta(minutes=29))

    assert again.requests == 0
    assert temp_f(again) == pytest.approx(68.0)
    assert problem_of(again) == ""


def test_after_that_only_what_changed_is_asked_for_by_its_own_date():
    memory = MemoryInProcess()
    morning(PointScript(complete=expiring(NOW + timedelta(minutes=30))), memory)
    unchanged = PointScript(complete=None)
    again = morning(unchanged, memory, NOW + timedelta(minutes=30))

    assert unchanged.asked == [(PATH, CHANGED)]
    assert temp_f(again) == pytest.approx(68.0)
    assert problem_of(again) == ""


def test_a_date_of_expiry_far_ahead_does_not_keep_us_from_asking():
    memory = MemoryInProcess()
    morning(PointScript(complete=expiring(NOW + timedelta(days=400))), memory)
    transport = PointScript(complete=expiring(None))
    morning(transport, memory, NOW + timedelta(hours=6, minutes=1))

    assert transport.requests == 1


@pytest.mark.parametrize("expires", [None, "soon", "-1", "0"])
def test_without_a_date_of_expiry_every_morning_asks(expires):
    memory = MemoryInProcess()
    transport = PointScript(complete=Answer(as_bytes(met_norway()), CHANGED, expires))
    morning(transport, memory)
    morning(transport, memory, NOW + timedelta(minutes=1))

    assert transport.asked == [(PATH, CHANGED)]


def test_the_whole_answer_is_asked_for_where_the_last_is_old():
    memory = MemoryInProcess()
    morning(PointScript(complete=expiring(NOW + timedelta(minutes=30))), memory)
    transport = PointScript(complete=None)
    morning(transport, memory, NOW + timedelta(hours=9))  # issued 12 h 30 min before

    assert transport.asked == [(PATH, None)]


def test_an_answer_for_another_place_is_refused():
    fetched = morning(PointScript(complete=met_norway(latitude=36.0)), MemoryInProcess())

    assert "for another place" in problem_of(fetched)
    assert not fetched.any_known


def test_an_unknown_cell_is_gone():
    source = MetNorwaySource(PointScript())
    cell = source.resolve(0, 0, NOW).model_copy(update={"id": "nws:XYZ/1,2"})
    with pytest.raises(ForecastError, match="not one of MET Norway") as caught:
        source.fetch(cell, None, NOW)
    assert caught.value.gone


@responses.activate
def test_the_caller_says_who_it_is():
    answer = responses.get(
        "https://api.met.no/weatherapi/locationforecast/2.0/complete",
        body=as_bytes(met_norway()),
        content_type="application/json",
        headers={"Last-Modified": CHANGED, "Expires": "Tue, 06 Oct 2026 11:30:00 GMT"},
    )
    source = Sources(SETTINGS, Path()).named("met_norway")
    source.begin(60)
    cell = source.resolve(HOME.latitude, HOME.longitude, NOW)
    forecast = source.fetch(cell, None, NOW)

    (call,) = answer.calls
    assert call.request.headers["User-Agent"].startswith("warmspell/")
    assert call.request.headers["User-Agent"].endswith("(sky@gin.test)")
    assert call.request.headers["Accept"] == "application/json"
    assert forecast is not None
    assert forecast.last_modified == f"{CHANGED}; expires Tue, 06 Oct 2026 11:30:00 GMT"
