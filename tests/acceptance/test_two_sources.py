"""Two regions told by two services, and mornings on which one of them is down or refuses."""

import json
from urllib.parse import parse_qs, urlsplit

import pytest

from scheduler.commands import run as warmspell
from tests.acceptance.feed_farm import GIN, NORTH, SOUTH, cell_path
from tests.acceptance.recorded_asides import DAY, NOW
from tests.acceptance.weather_service import head, problem, saying
from tests.forecasts.point_answers import met_norway, open_meteo, runs

US, NORWAY = "US National Weather Service", "Data from MET Norway (CC BY 4.0)"
OPEN = "Open-Meteo.com (CC BY 4.0)"
NORWAYS = "/weatherapi/locationforecast"
JSON = "application/json"


def of_region(feed, text: str) -> None:
    """Say who tells the region of the north field."""
    config = feed.folder / "farm.toml"
    config.write_text(config.read_text() + f"\n[regions.bench.forecast]\n{text}\n")


def asked_for(feed, start: str) -> list[str]:
    return [one for one in feed.service.asked if one.startswith(start)]


def norway(feed):
    """The answer for the point that is asked for."""

    def fault(connection, body) -> None:
        asked = parse_qs(urlsplit(asked_for(feed, NORWAYS)[-1]).query)
        spot = {"latitude": float(asked["lat"][0]), "longitude": float(asked["lon"][0])}
        text = json.dumps(met_norway(**spot, updated_at="2026-10-06T10:00:00Z")).encode()
        connection.sendall(head(200, JSON, Content_Length=len(text)) + text)

    return fault


@pytest.fixture
def two(feed):
    """The north field's region told by MET Norway, the other two fields by the US service."""
    feed.reset_settings(met_norway_address=feed.service.address)
    of_region(feed, 'source = "met_norway"')
    feed.service.faults[NORWAYS] = norway(feed)
    return feed


def told_by(told) -> dict[str, str]:
    return {one["field_id"]: one["forecast"]["source"] for one in told.report["fields"]}


def test_each_region_is_told_by_its_own_service(two):
    told = two.morning(dry=False)

    assert told_by(told) == {GIN: US, NORTH: NORWAY, SOUTH: US}
    assert len(asked_for(two, NORWAYS)) == 1
    assert asked_for(two, cell_path(NORTH)) == []
    # MET Norway tells no gusts and two days by the hour: nothing of that becomes spray.
    assert told.calls == {GIN: "spray", NORTH: "unknown", SOUTH: "spray"}
    assert told.code == 3
    text = " ".join(two.text(NORTH).split())
    assert f"source: {NORWAY} by the config: {NORWAY} (region bench)" in text
    assert NORWAY not in two.text(GIN)


def test_the_digest_names_both_services(two):
    two.capsys.readouterr()
    warmspell(["morning", "--dry-run", "--config", str(two.folder / "farm.toml")])
    said = " ".join(two.capsys.readouterr().out.split())

    assert US in said
    assert NORWAY in said


def test_freeze_alerts_are_asked_for_where_the_us_service_tells_and_nowhere_else(two):
    told = two.morning()

    assert len(asked_for(two, "/alerts/active?point=")) == 2
    assert told.of(NORTH)["alerts_problem"] == ""
    assert told.of(GIN)["alerts_problem"] != ""


def test_one_service_down_leaves_its_own_fields_alone_not_known(two):
    two.service.faults = {NORWAYS: two.service.faults[NORWAYS], "/": problem("Down", 503)}
    told = two.morning()

    assert told_by(told) == {GIN: "", NORTH: NORWAY, SOUTH: ""}
    assert "503 Down" in told.of(GIN)["forecast"]["problem"]
    assert told.of(NORTH)["forecast"]["problem"] == ""
    assert told.code == 3


def test_one_service_down_puts_its_own_fields_alone_on_who_stands_in(feed):
    feed.reset_settings(met_norway_address=feed.service.address)
    of_region(feed, 'source = "met_norway"\nstand_in = "nws"')
    feed.service.faults[NORWAYS] = problem("Down", 503)
    told = feed.morning()

    assert told_by(told) == {GIN: US, NORTH: US, SOUTH: US}
    assert told.calls == {GIN: "spray", NORTH: "spray", SOUTH: "spray"}
    assert told.code == 0
    words = told.of(NORTH)["forecast"]["problem"]
    assert "503 Down" in words
    assert f"in its place: {US}" in words
    assert told.of(GIN)["forecast"]["problem"] == ""


@pytest.mark.parametrize("refusing", ["nws", "met_norway"])
def test_a_refusal_is_a_fault_of_the_config_and_touches_its_own_fields_alone(two, refusing):
    refused = saying(403, b"<html>Forbidden</html>", "text/html")
    if refusing == "met_norway":
        two.service.faults[NORWAYS] = refused
    else:
        two.service.faults = {NORWAYS: two.service.faults[NORWAYS], "/": refused}
    told = two.morning()
    theirs = {NORTH} if refusing == "met_norway" else {GIN, SOUTH}

    assert told.code == 78
    assert f'farm.toml: source "{refusing}": the weather service refuses this caller' in told.err
    refusals = {
        one["field_id"] for one in told.report["fields"] if "refuses" in one["forecast"]["problem"]
    }
    assert refusals == theirs
    assert len(asked_for(two, NORWAYS)) == 1
    if refusing == "nws":
        assert len(two.service.asked) == 2
        assert "refuses" in told.of(GIN)["alerts_problem"]
    else:
        assert told.calls[GIN] == told.calls[SOUTH] == "spray"
        assert len(asked_for(two, "/alerts")) == 2
        assert "refuses" not in told.of(GIN)["alerts_problem"]


def test_a_region_told_by_a_dead_service_costs_the_others_no_time_of_theirs(two):
    """The dead service leads two fields of three, so it may take two thirds of the time."""
    two.reset_settings(total_deadline_s=12.0, tries=1, requests_per_second=5.0)
    two.reset_settings(read_timeout_s=1.0, answer_deadline_s=2.0)
    good_one = two.service.faults[NORWAYS]
    two.service.faults = {NORWAYS: good_one, "/": lambda connection, body: connection.recv(1)}
    told = two.morning()

    assert told_by(told)[NORTH] == NORWAY


def test_a_region_whose_key_is_not_there_costs_no_other_its_morning(feed, monkeypatch):
    monkeypatch.delenv("SKY_KEY", raising=False)
    feed.reset_settings(api_key_env="SKY_KEY", open_meteo_address=feed.service.address)
    of_region(feed, 'source = "open_meteo"')
    told = feed.morning()

    assert told.code == 78
    assert told.calls == {GIN: "spray", NORTH: "unknown", SOUTH: "spray"}
    assert "api_key_env: got a key's name but no key" in told.of(NORTH)["forecast"]["problem"]
    assert 'source "open_meteo": [forecast] api_key_env' in told.err
    assert asked_for(feed, "/v1") == []


@pytest.fixture
def by_open_meteo(feed):
    """The US service leads; Open-Meteo stands in and looks further."""
    feed.reset_settings(
        non_commercial=True,
        open_meteo_address=feed.service.address,
        stand_in="open_meteo",
        extend="open_meteo",
    )

    def telling(connection, body) -> None:
        asked = parse_qs(urlsplit(asked_for(feed, "/v1/forecast")[-1]).query)
        spots = zip(asked["latitude"][0].split(","), asked["longitude"][0].split(","), strict=True)
        told = [
            open_meteo(384, DAY, latitude=float(north), longitude=float(east))
            for north, east in spots
        ]
        text = json.dumps(told if len(told) > 1 else told[0]).encode()
        connection.sendall(head(200, JSON, Content_Length=len(text)) + text)

    feed.service.faults["/v1/forecast"] = telling
    feed.service.faults["/data/"] = saying(200, json.dumps(runs(NOW)).encode(), JSON)
    return feed


def test_who_stands_in_and_looks_further_is_asked_once_for_each_cell(by_open_meteo):
    by_open_meteo.service.faults[cell_path(SOUTH)] = problem("Down", 503)
    told = by_open_meteo.morning()

    assert told_by(told) == {GIN: US, NORTH: US, SOUTH: OPEN}
    assert all(one["further"]["source"] == OPEN for one in told.report["fields"])
    points = [
        parse_qs(urlsplit(one).query)["latitude"][0].split(",")
        for one in asked_for(by_open_meteo, "/v1/forecast")
    ]
    assert [len(one) for one in points] == [1, 2]


def test_a_complaint_over_one_question_slows_whatever_asks_that_host(by_open_meteo, slept_s):
    """The last question for a forecast is complained about; the alerts that follow go slower."""
    by_open_meteo.reset_settings(tries=1, extend="open_meteo")
    by_open_meteo.service.faults[cell_path(SOUTH)] = saying(429, b"slow", "text/html")
    plain = _longest_wait_s(by_open_meteo, slept_s)
    by_open_meteo.service.faults[cell_path(SOUTH)] = problem("Down", 404)

    assert plain > _longest_wait_s(by_open_meteo, slept_s) + 0.4


def _longest_wait_s(feed, slept_s) -> float:
    slept_s.clear()
    assert warmspell(["morning", "--dry-run", "--config", str(feed.folder / "farm.toml")]) in (0, 3)
    return max(slept_s)


@pytest.mark.parametrize("is_plan_kept", [True, False])
def test_a_past_morning_finds_what_a_stand_in_told(feed, monkeypatch, is_plan_kept):
    feed.reset_settings(met_norway_address=feed.service.address, stand_in="met_norway")
    feed.service.faults[NORWAYS] = norway(feed)
    feed.service.faults[cell_path(SOUTH)] = problem("Down", 503)
    first = feed.morning(dry=not is_plan_kept)
    assert told_by(first) == {GIN: US, NORTH: US, SOUTH: NORWAY}
    later(feed, monkeypatch)
    again = feed.morning(at="2026-10-06T06:10")

    assert told_by(again) == told_by(first)
    assert again.calls == first.calls
    assert again.of(SOUTH)["forecast"]["issued_utc"] == first.of(SOUTH)["forecast"]["issued_utc"]
    assert again.of(SOUTH)["effect_pct"] == first.of(SOUTH)["effect_pct"]


def test_a_past_morning_finds_what_the_us_service_told_in_anothers_place(feed, monkeypatch):
    """Its cell does not follow from the place, so it is the one the kept plan stood on."""
    feed.reset_settings(met_norway_address=feed.service.address)
    of_region(feed, 'source = "met_norway"\nstand_in = "nws"')
    feed.service.faults[NORWAYS] = problem("Down", 503)
    first = feed.morning(dry=False)
    later(feed, monkeypatch)
    again = feed.morning(at="2026-10-06T06:10")

    assert told_by(again) == told_by(first) == {GIN: US, NORTH: US, SOUTH: US}
    assert again.calls == first.calls


def later(feed, monkeypatch) -> None:
    """Two weeks on; nobody may be asked."""
    config = feed.folder / "farm.toml"
    text = config.read_text()
    assert "2026-10-06T11:10:00Z" in text
    config.write_text(text.replace("2026-10-06T11:10:00Z", "2026-10-20T11:10:00Z"))

    def never(self, path, if_modified_since=None):
        raise AssertionError(f"asked for {path}")

    monkeypatch.setattr("forecasts.client.WeatherClient.get", never)
