"""What is shown beside the calls, asked over HTTP from services that break."""

import json
from urllib.parse import parse_qs, urlsplit

import pytest

from tests.acceptance.feed_farm import CELL_OF, GIN, NORTH, SOUTH
from tests.acceptance.recorded_asides import DAY, NOW
from tests.acceptance.weather_service import head, saying
from tests.forecasts.point_answers import ensemble, open_meteo, runs
from tests.forecasts.test_alerts import alert, answer

JSON = "application/json"


@pytest.fixture
def warned(feed):
    """The feed's farm under a Freeze Watch."""
    feed.service.faults["/alerts"] = saying(200, answer(alert("Freeze Watch")))
    return feed


@pytest.fixture
def looked(warned):
    """The same, with a further look and an ensemble from the same address."""
    warned.reset_settings(
        non_commercial=True,
        open_meteo_address=warned.service.address,
        extend="open_meteo",
        ensemble=True,
    )
    warned.service.faults["/v1/forecast"] = telling(warned, lambda: open_meteo(384, DAY))
    warned.service.faults["/v1/ensemble"] = telling(warned, lambda: ensemble(240, 31, DAY))
    warned.service.faults["/data/"] = saying(200, json.dumps(runs(NOW)).encode(), JSON)
    return warned


def telling(feed, one):
    """Answers for all points that are asked for."""

    def fault(connection, body):
        asked = parse_qs(urlsplit(feed.service.asked[-1]).query)
        spots = zip(asked["latitude"][0].split(","), asked["longitude"][0].split(","), strict=True)
        told = [one() | {"latitude": float(n), "longitude": float(e)} for n, e in spots]
        text = json.dumps(told if len(told) > 1 else told[0]).encode()
        connection.sendall(head(200, JSON, Content_Length=len(text)) + text)

    return fault


def asked_for(feed, start):
    return [one for one in feed.service.asked if one.startswith(start)]


def test_alerts_are_asked_for_after_the_forecasts_and_once_a_point(warned):
    told = warned.morning()

    assert told.code == 0
    assert all(told.of(one)["alerts"][0]["event"] == "Freeze Watch" for one in (GIN, NORTH, SOUTH))
    assert told.of(GIN)["alerts"][0]["onset_utc"] == "2026-10-07T07:00:00Z"
    asked = asked_for(warned, "/alerts/active?point=")
    assert len(asked) == len(set(asked)) == 3
    assert warned.service.asked[-3:] == asked


@pytest.mark.parametrize(
    "fault",
    [
        saying(500),
        saying(503, b"", Retry_After=3600),
        saying(200, b"<html>busy</html>", "text/html"),
        saying(200, b"{}"),
        lambda connection, body: connection.close(),
        lambda connection, body: connection.recv(1),
    ],
    ids=["500", "503 later", "html", "another form", "closed", "silent"],
)
def test_alerts_that_fail_delay_nothing_and_change_nothing(warned, slept_s, fault):
    before = warned.morning()
    slept_s.clear()
    warned.service.asked.clear()
    warned.service.faults["/alerts"] = fault
    told = warned.morning()

    assert (told.code, told.calls) == (before.code, before.calls)
    assert all(one["alerts"] == [] for one in told.report["fields"])
    assert all(one["alerts_problem"] for one in told.report["fields"])
    # Each is asked for at most once, and nobody waits for any: six requests at two a second wait
    # for each other's turns up to 2.5 s, as nobody sleeps.
    assert len(asked_for(warned, "/alerts")) <= 3
    assert max(slept_s, default=0.0) <= 2.5


def test_without_time_left_nobody_is_asked(looked, monkeypatch):
    monkeypatch.setattr("scheduler.morning.stopwatch", lambda allowed_s: lambda: 0.0)
    told = looked.morning()

    assert told.code == 0
    assert asked_for(looked, "/alerts") == asked_for(looked, "/v1") == []
    assert all(one["alerts_problem"] for one in told.report["fields"])
    assert all(one["further"]["problem"] for one in told.report["fields"])
    assert all(one["freeze"]["ensemble_problem"] for one in told.report["fields"])


def test_a_service_that_refuses_us_is_asked_for_no_alerts(feed):
    feed.service.faults["/"] = saying(403, b"<html>Forbidden</html>", "text/html")
    told = feed.morning()

    assert told.code == 78
    assert asked_for(feed, "/alerts") == []
    assert "refuses" in told.of(GIN)["alerts_problem"]


def test_the_further_look_and_the_ensemble_come_from_open_meteo(looked):
    told = looked.morning()

    assert told.code == 0
    for one in told.report["fields"]:
        assert one["further"]["source"] == "Open-Meteo.com (CC BY 4.0)"
        assert one["further"]["problem"] == ""
        assert one["freeze"]["ensemble_members"] == 31
        assert one["freeze"]["ensemble_chance_7d_pct"] == 0.0
        assert one["forecast"]["source"] == "US National Weather Service"
    assert len(asked_for(looked, "/v1/forecast")) == 1
    assert len(asked_for(looked, "/v1/ensemble")) == 1
    assert len({spot.office for spot in CELL_OF.values()}) == 1


@pytest.mark.parametrize("feed_at", ["/v1/forecast", "/v1/ensemble", "/data/"])
@pytest.mark.parametrize("fault", [saying(500), saying(200, b"{}", JSON)], ids=["500", "{}"])
def test_what_looks_further_may_fail_without_a_call_becoming_another(looked, feed_at, fault):
    before = looked.morning()
    looked.service.faults[feed_at] = fault
    told = looked.morning()

    assert (told.code, told.calls) == (before.code, before.calls)
    assert [one["effect_pct"] for one in told.report["fields"]] == [
        one["effect_pct"] for one in before.report["fields"]
    ]
    if feed_at == "/v1/ensemble":
        assert all(one["freeze"]["ensemble_problem"] for one in told.report["fields"])


def test_a_fault_of_ours_is_not_known_and_is_logged(looked, monkeypatch, caplog):
    def fails(*more, **named):
        raise RuntimeError("a fault of ours")

    for name in ("fetch_alerts", "fetch_further", "member_odds"):
        monkeypatch.setattr(f"scheduler.asides.{name}", fails)
    told = looked.morning()

    assert told.code == 0
    for one in told.report["fields"]:
        words = "something unexpected happened, see the log"
        assert one["alerts_problem"] == one["further"]["problem"] == words
        assert one["freeze"]["ensemble_problem"] == words
    assert "RuntimeError" in caplog.text


def test_a_dead_service_ends_in_its_time_and_is_asked_for_few_alerts(looked):
    looked.service.faults = {"/": lambda connection, body: connection.recv(1)}
    told = looked.morning()

    assert told.code == 69
    assert len(asked_for(looked, "/alerts")) <= 2
    assert set(told.calls.values()) == {"unknown"}
