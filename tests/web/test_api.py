"""JSON and files of the board: the figures of its pages, for the same eyes."""

import csv
import io
import json
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise
from uuid import uuid4

import pytest

from dispatch.report import Call
from farm.records import Spray, Visit
from scheduler.outputs import report_json
from scheduler.plans import latest_plan
from storage.take_back import take_back
from tests.web.quick_plans import quick

JSON = ("/api/order", "/api/rigs", "/api/after", "/api/health", "/api/openapi.json")
FILES = tuple(
    f"/export/{one}" for one in ("order.csv", "visits.csv", "sprays.csv", "fields.geojson")
)


@pytest.fixture
def demo(demo):
    """A farm that plans quickly."""
    return quick(demo)


def report_of(farm):
    return latest_plan(farm.stores, farm.config.path)


def rows(text):
    return list(csv.DictReader(io.StringIO(text)))


def spray_of(farm, field_id, at, **more) -> Spray:
    spray = Spray(uuid=uuid4(), field_id=field_id, sprayed_utc=at, treatment_id="aid-12", **more)
    farm.stores.sprays.add(spray, at)
    return spray


def test_the_order_is_that_of_the_command_line(client_as, farm):
    told = client_as("scout").get("/api/order").json()
    wanted = json.loads(report_json(report_of(farm)))["fields"]
    assert [(one["field_id"], one["rank"], one["call"]) for one in told["fields"]] == [
        (one["field_id"], one["rank"], one["call"]) for one in wanted
    ]
    assert (told["total"], told["of_today"]) == (30, True)
    assert sum(told["counts"].values()) == 30


@pytest.mark.parametrize(("first", "count", "shown"), [(0, 7, 7), (28, 7, 2), (99, 5, 0)])
def test_the_order_comes_in_parts(client_as, first, count, shown):
    client = client_as("scout")
    whole = client.get("/api/order").json()["fields"]
    part = client.get(f"/api/order?first={first}&count={count}").json()["fields"]
    assert part == whole[first : first + count]
    assert len(part) == shown


def test_what_is_not_known_is_null_and_said_to_be(client_as, farm):
    unknown = report_of(farm).with_call(Call.UNKNOWN)
    assert unknown
    client = client_as("scout")
    for one in unknown:
        told = client.get(f"/api/fields/{one.field.id}").json()
        assert (told["call"], told["rank"], told["windows"]) == ("unknown", None, [])
        assert told["reasons"]
    never = client.get("/api/fields/beaver-trap").json()
    assert never["maturity"]["nodes_above_cracked_boll"] is None


def test_a_number_that_is_not_finite_becomes_null(client_as, farm, app):
    report = report_of(farm)
    first = report.fields[0].model_copy(update={"effect_pct": float("nan")})

    class Spoilt:
        def latest(self):
            return spoilt

        def since(self, _):
            return desk.mornings.since(report)

    desk, spoilt = app.state.desk, report.model_copy(update={"fields": (first,)})
    app.state.desk = replace(desk, mornings=Spoilt())
    client = client_as("scout")
    answer = client.get("/api/order")
    assert "NaN" not in answer.text
    assert answer.json()["fields"][0]["effect_pct"] is None
    assert (
        client.get("/export/fields.geojson").json()["features"][0]["properties"]["effect_pct"]
        is None
    )


def test_a_call_that_is_overtaken_is_never_told_as_one_to_spray(client_as, farm, clock):
    client = client_as("dispatcher")
    clock.passes(timedelta(minutes=10))
    spray_of(farm, "creek-bottom", clock())

    told = client.get("/api/fields/creek-bottom").json()
    line = next(
        one
        for one in rows(client.get("/export/order.csv").text)
        if one["field_id"] == "creek-bottom"
    )
    features = client.get("/export/fields.geojson").json()["features"]
    place = next(
        one["properties"] for one in features if one["properties"]["field_id"] == "creek-bottom"
    )
    for one in (told, line, place):
        assert one["call"] == "overtaken"
        assert one["rank"] in (None, "")
    assert told["windows"] == []
    assert told["overtaken"] == "a spray was logged since the morning"
    assert (line["window_start_local"], line["spray_by_local"]) == ("", "")
    assert place["first_window_utc"] is None


@pytest.mark.parametrize("hours", [13, 24])
def test_no_call_stands_once_its_forecast_is_old_or_the_day_is_another(client_as, clock, hours):
    client = client_as("dispatcher")
    clock.passes(timedelta(hours=hours))
    client = client_as("scout")
    calls = {
        one["call"]
        for one in client.get("/api/order").json()["fields"]
        if not one["held_for_harvest"]
    }
    assert "overtaken" in calls
    assert calls.isdisjoint({"spray", "short"})
    assert client.get("/api/health").json()["of_today"] is (hours < 18)


@pytest.mark.parametrize("path", [*JSON, *FILES])
def test_nobody_reads_without_a_session(outside, path):
    answer = outside.get(path, follow_redirects=False)
    assert answer.status_code in (401, 303)
    assert "Creek Bottom" not in answer.text


@pytest.mark.parametrize("path", ["/api/order", "/api/rigs", "/api/after", *FILES])
def test_a_grower_reads_their_own_fields_alone(client_as, desk, farm, path):
    desk.rigs.plan(desk.mornings.latest())
    spray_of(farm, "creek-bottom", farm.now, note="beside Aldama Cotton", applicator="Ray")
    own = {one.name for one in farm.config.fields if one.grower_id == "hallock"}
    own |= {one.id for one in farm.config.fields if one.grower_id == "hallock"}
    others = {one.name for one in farm.config.fields} | {one.id for one in farm.config.fields}
    text = client_as("grower", ("hallock",)).get(path).text

    assert any(name in text for name in own)
    assert [name for name in others - own if f'"{name}"' in text or f",{name}," in text] == []
    assert "Aldama" not in text


def test_anothers_field_is_answered_as_one_that_there_is_not(client_as, farm):
    client = client_as("grower", ("hallock",))
    answers = [client.get(f"/api/fields/{name}") for name in ("dugout", "no-such-field")]
    assert [one.status_code for one in answers] == [404, 404]
    assert answers[0].json() == answers[1].json() == {"problem": "no such field"}


def test_a_file_holds_every_record_that_stands_and_none_that_does_not(client_as, farm, clock):
    client = client_as("operator")
    before = rows(client.get("/export/sprays.csv").text)
    kept = spray_of(farm, "creek-bottom", clock(), note="=1+1", applicator="@Ray")
    gone = spray_of(farm, "west-well", clock())
    take_back(farm.stores, "spray", gone.uuid, clock())
    after = rows(client.get("/export/sprays.csv").text)

    (new,) = [one for one in after if one not in before]
    assert (new["uuid"], new["field"]) == (str(kept.uuid), "Creek Bottom")
    assert (new["note"], new["applicator"]) == ("'=1+1", "'@Ray")
    assert new["sprayed"] == "2026-10-06T06:10:00-05:00"
    assert (new["re_entry_from"], new["harvest_from"]) == (
        "2026-10-08T06:10:00-05:00",
        "2026-10-13T06:10:00-05:00",
    )


def test_visits_can_be_brought_in_again_and_hold_no_formula(client_as, farm, clock, tmp_path):
    visit = Visit(
        uuid=uuid4(),
        field_id="creek-bottom",
        observed_utc=clock(),
        scout="=HYPERLINK(0)",
        nodes_above_cracked_boll=3.5,
        plants_counted=12,
        note="-2+3",
    )
    farm.stores.visits.add([visit], clock())
    text = client_as("scout").get("/export/visits.csv").text
    (told,) = [one for one in rows(text) if one["uuid"] == str(visit.uuid)]
    assert (told["scout"], told["note"]) == ("'=HYPERLINK(0)", "'-2+3")
    assert told["nodes_above_cracked_boll"] == "3.5"


def test_a_grower_reads_no_visit_of_a_field_that_is_registered_no_more(client_as, farm, clock):
    visit = Visit(uuid=uuid4(), field_id="gone-field", observed_utc=clock(), percent_open=50)
    farm.stores.visits.add([visit], clock())
    assert "gone-field" in client_as("scout").get("/export/visits.csv").text
    assert "gone-field" not in client_as("grower", ("hallock",)).get("/export/visits.csv").text


def test_outlines_are_closed_and_run_against_the_clock(client_as, farm):
    """RFC 7946 (2016), section 3.1.6."""
    answer = client_as("scout").get("/export/fields.geojson")
    assert answer.headers["content-type"] == "application/geo+json"
    assert (
        answer.headers["content-disposition"] == 'attachment; filename="fields-2026-10-06.geojson"'
    )
    features = answer.json()["features"]
    assert len(features) == 30
    for one in features:
        assert one["geometry"]["type"] == "Polygon"
        (ring,) = one["geometry"]["coordinates"]
        assert ring[0] == ring[-1]
        doubled = sum((to[0] - at[0]) * (to[1] + at[1]) for at, to in pairwise(ring))
        assert doubled < 0
        assert -105 < ring[0][0] < -95


def test_the_page_for_programs_lists_every_address_and_loads_nothing_from_elsewhere(client_as):
    client = client_as("scout")
    text = client.get("/api").text
    told = client.get("/api/openapi.json").json()
    assert len(told["paths"]) == 9
    assert [path for path in told["paths"] if path not in text] == []
    assert "http://" not in text.replace("http://www.w3.org", "")
    assert "https://" not in text
    assert all("security" not in one["get"] for one in told["paths"].values())
    assert told["security"] == [{"session": []}]


@pytest.mark.parametrize("asked", ["first=-1", "count=0", "count=501", "first=x", "first=1e9"])
def test_what_does_not_fit_is_refused_as_json(client_as, asked):
    answer = client_as("scout").get(f"/api/order?{asked}")
    assert answer.status_code == 422
    assert list(answer.json()) == ["problem"]


def test_before_the_first_morning_everything_is_empty_and_nothing_breaks(client_as, app):
    class Nothing:
        def latest(self):
            return None

    app.state.desk = replace(app.state.desk, mornings=Nothing())
    client = client_as("scout")
    assert client.get("/api/order").json()["fields"] == []
    assert client.get("/api/health").json()["made_utc"] is None
    assert client.get("/api/rigs").json()["stops"] == []
    assert client.get("/api/after").json()["sprayed"] == []
    assert client.get("/api/fields/creek-bottom").status_code == 404
    assert client.get("/export/order.csv").text == ""
    assert client.get("/export/fields.geojson").json()["features"] == []
