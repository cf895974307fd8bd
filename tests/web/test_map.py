"""The map: what is filled, numbered and driven, and who sees what of it."""

import json
import re
from datetime import UTC, datetime, timedelta

import pytest

from dispatch.routes.plan import PlannedDay, RoutePlan, Stop
from dispatch.words import LocalClock
from tests.web.quick_plans import quick
from web.map_page import map_csp
from web.map_shapes import map_fields, outlines, ways
from web.plots import DEEP, INK, MID, PALE, PAPER, SOFT


@pytest.fixture
def demo(demo):
    return quick(demo)


#: Where the board keeps its hue.
BOARD_CSS, PLOTS_JS = "web/static/board.css", "web/static/plots.js"


def _plot(text: str) -> str:
    found = re.search(r'class="plot-data">(.*?)</script>', text, re.DOTALL)
    assert found is not None
    return found[1]


def test_every_field_of_the_morning_is_on_the_map_and_leads_to_its_page(client_as, desk):
    text = client_as("dispatcher").get("/map").text
    fields = desk.mornings.latest().fields
    assert len(fields) == 30
    for one in fields:
        assert f'href="/fields/{one.field.id}"' in text
    assert '"/fields/@id"' in _plot(text)


def test_places_stand_on_the_fields_of_the_line_alone(client_as):
    text = client_as("dispatcher").get("/map").text
    places = re.findall(r'class="place"[^>]*>(\d+)<', text)
    assert sorted(map(int, places)) == list(range(1, 10))


def test_a_call_that_was_overtaken_is_filled_as_such(client_as, desk, clock):
    # Forecasts of the morning are too old to spray by 12 h after their issue.
    clock.passes(timedelta(hours=20))
    text = client_as("dispatcher").get("/map").text
    assert 'class="of-spray" points' not in text
    assert text.count('class="of-gone" points') == 9
    assert 'class="place"' not in text


def test_the_map_of_a_grower_has_their_fields_and_no_rigs(client_as, desk):
    report = desk.mornings.latest()
    desk.rigs.plan(report)
    text = client_as("grower", ("hallock",)).get("/map").text
    own = [one.field for one in report.fields if one.field.grower_id == "hallock"]
    assert text.count("<polygon") == len(own) > 0
    for one in report.fields:
        if one.field.grower_id != "hallock":
            assert one.field.name not in text
    assert "sprayer" not in text
    assert "polyline" not in text


def test_the_ways_of_a_day_are_chosen_by_day(client_as, desk):
    plan = desk.rigs.plan(desk.mornings.latest())
    client = client_as("operator")
    first = min(one.on for one in plan.days)
    for on in {one.on for one in plan.days}:
        text = client.get(f"/map?rigs={on.isoformat()}").text
        assert text.count('<polyline class="way"') == sum(one.on == on for one in plan.days)
    chosen = f'rigs={first.isoformat()}" aria-current="true"'
    assert chosen in client.get("/map").text
    assert '<polyline class="way"' not in client.get("/map?rigs=none").text


@pytest.mark.parametrize("asked", ["rigs=<script>", "rigs=2026-99-99", "rigs=" + "9" * 5000])
def test_a_day_that_is_none_shows_the_first(client_as, desk, asked):
    desk.rigs.plan(desk.mornings.latest())
    answer = client_as("operator").get(f"/map?{asked}")
    assert answer.status_code == 200
    assert '<polyline class="way"' in answer.text
    assert asked.removeprefix("rigs=") not in answer.text


def test_a_base_map_lets_pictures_of_its_host_in_and_nothing_else():
    plain, mapped = map_csp(None), map_csp("https://tiles.example.org/v1/{z}/{x}/{y}.png?key=k")
    assert mapped == plain.replace(
        "img-src 'self' data: blob:", "img-src 'self' https://tiles.example.org data: blob:"
    )
    assert mapped != plain


def test_hues_of_plots_are_those_of_the_page_light_and_dark():
    with open(BOARD_CSS, encoding="utf-8") as file:
        css = file.read()
    with open(PLOTS_JS, encoding="utf-8") as file:
        script = file.read()
    names = ("paper", "pale", "mid", "soft", "deep", "ink")
    lights, darks = (
        {name: re.findall(rf"--{name}: (#\w+)", css)[turn] for name in names} for turn in (0, 1)
    )
    assert [lights[name] for name in names] == [PAPER, PALE, MID, SOFT, DEEP, INK]
    for name in names:
        assert f'"{lights[name]}": "{darks[name]}"' in script


def test_the_data_of_the_plot_is_whole_json_that_ends_no_element(client_as):
    told = _plot(client_as("dispatcher").get("/map").text)
    assert "<" not in told
    assert json.loads(told)["target_id"] == "map"


def test_a_field_without_outline_is_a_square_of_its_acres(desk):
    one = (
        desk.mornings.latest()
        .fields[0]
        .field.model_copy(
            update={"outline": None, "latitude": 0.0, "longitude": 0.0, "acres": 10.0}
        )
    )
    (_, ring), *_ = outlines([one])
    xs, ys = zip(*ring, strict=True)
    # WORKED: 10 acres are 40,468.6 m2, a square of 201.2 m a side; at the equator the map keeps it.
    assert max(xs) - min(xs) == pytest.approx(201.17, abs=0.01)
    assert max(ys) - min(ys) == pytest.approx(201.17, abs=0.01)


def test_an_effect_that_is_not_known_has_no_step(desk):
    one = desk.mornings.latest().fields[0]
    for effect_pct, step in ((None, None), (0.0, 0), (100.0, 5), (49.0, 2)):
        (shown,) = map_fields([one.model_copy(update={"effect_pct": effect_pct})], (), "us")
        assert shown.step == step


def test_sizes_are_told_in_the_units_of_the_reader(desk):
    field = desk.mornings.latest().fields[0]
    one = field.model_copy(update={"field": field.field.model_copy(update={"acres": 100.0})})
    # WORKED: 100 acres of 0.40468564 ha are 40.5 ha.
    for units, said in (("us", "100 ac"), ("metric", "40 ha")):
        assert map_fields([one], (), units)[0].size == said


def test_a_way_goes_from_the_yard_by_its_stops_and_home(desk, clock):
    report = desk.mornings.latest()
    facts = desk.rigs.facts(report)
    rig = facts.rigs["wide"].model_copy(update={"yard_latitude": 34.0, "yard_longitude": -101.0})
    facts = facts.__class__(facts.farm_name, {"wide": rig}, facts.mixes, facts.fields, facts.gates)
    plan = _plan(next(iter(facts.fields)))
    told = LocalClock("America/Chicago", "America/Chicago", plan.days[0].on)
    (way,) = ways(plan, facts, plan.days[0].on, told)
    assert len(way.way) == 3
    assert way.way[0] == way.way[-1] != way.way[1]


def _plan(field_id: str) -> RoutePlan:
    at = datetime(2026, 10, 6, 15, tzinfo=UTC)
    stop = Stop(
        field_id=field_id,
        field_name="One",
        acres=10,
        mix_id="aid-12",
        arrive_utc=at,
        start_utc=at,
        end_utc=at + timedelta(hours=1),
        drive_min=10,
        miles=3,
        fills=1,
        effect_pct=80,
        worth_ac=8,
        full=True,
    )
    day = PlannedDay(
        rig_id="wide",
        rig_name="Wide",
        on=at.date(),
        leave_utc=at - timedelta(minutes=10),
        back_utc=at + timedelta(hours=2),
        stops=(stop,),
        miles=6,
        acres=10,
    )
    return RoutePlan(
        start_utc=at,
        time_zone="America/Chicago",
        method="greedy",
        days=(day,),
        fields=1,
        acres=10,
        acres_full=10,
        worth_ac=8,
        miles=6,
    )
