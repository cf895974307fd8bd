"""The page of the rigs: lanes, reports of drivers, stale plans, and who sees what of them."""

import re
from datetime import timedelta

import pytest
from sqlalchemy import delete

from scheduler.season_records import season_records
from storage.tables import route_plans
from tests.web.quick_plans import quick


@pytest.fixture
def demo(demo):
    return quick(demo)


@pytest.fixture
def plan(desk):
    """A plan of the demo's morning, kept."""
    return desk.rigs.plan(desk.mornings.latest())


def _stops(plan):
    return [(day, stop) for day in plan.days for stop in day.stops]


def _planned(farm):
    return [stop.field_id for _, stop in _stops(farm.stores.route_plans.latest())]


def test_without_a_plan_there_is_a_button_that_makes_one(client_as, farm):
    # The demo's morning has planned its rigs already.
    with farm.stores.database.write() as connection:
        connection.execute(delete(route_plans))
    client = client_as("dispatcher")
    before = client.get("/rigs")
    assert "Plan the rigs now" in before.text
    assert farm.stores.route_plans.latest() is None
    answer = client.send_form("/rigs/plan")
    assert (answer.status_code, answer.headers["location"]) == (303, "/rigs")
    kept = farm.stores.route_plans.latest()
    text = client.get("/rigs").text
    for _, stop in _stops(kept):
        assert stop.field_name in text
    assert f"Plan {kept.revision}, made" in text


def test_a_lane_stands_for_each_rig_day_and_a_track_for_each_stop(client_as, plan):
    text = client_as("operator").get("/rigs").text
    assert text.count('class="lane"') == len(plan.days)
    assert text.count('<svg class="track-of planned"') == len(_stops(plan))


def test_a_driver_may_choose_one_rig(client_as, plan):
    text = client_as("operator").get("/rigs?rig=wide").text
    wide = [one for one in plan.days if one.rig_id == "wide"]
    assert 0 < len(wide) < len(plan.days)
    assert text.count('class="lane"') == len(wide)
    assert client_as("operator").get("/rigs?rig=none-such").text.count('class="lane"') == len(
        plan.days
    )


def test_a_stop_reported_sprayed_is_logged_once_with_its_rig(client_as, farm, plan, clock):
    day, stop = _stops(plan)[0]
    clock.passes(timedelta(hours=12))
    client = client_as("operator")
    told = {"deed": "done", "field_id": stop.field_id, "when": "14:20", "who": "Pete Marrow"}
    first, again = client.send_form("/rigs/stop", **told), client.send_form("/rigs/stop", **told)
    assert (first.status_code, again.status_code) == (303, 409)
    assert "logged already" in again.text
    kept = [one for one in farm.stores.sprays.all() if one.field_id == stop.field_id]
    assert [(one.rig_id, one.applicator) for one in kept] == [(day.rig_id, "Pete Marrow")]
    # 2:20 pm in the Central zone in October is 7:20 pm UTC.
    assert kept[0].sprayed_utc.isoformat() == "2026-10-06T19:20:00+00:00"
    assert "done: a spray is logged" in client.get("/rigs").text


def test_a_time_ahead_is_refused_and_nothing_is_kept(client_as, farm, plan):
    stop = _stops(plan)[0][1]
    before = len(farm.stores.sprays.all())
    answer = client_as("operator").send_form(
        "/rigs/stop", deed="done", field_id=stop.field_id, when="23:00"
    )
    assert answer.status_code == 409
    assert "no later than now" in answer.text
    assert len(farm.stores.sprays.all()) == before


def test_a_skipped_stop_stands_apart_and_can_be_put_back(client_as, farm, plan):
    stop = _stops(plan)[0][1]
    client = client_as("dispatcher")
    client.send_form("/rigs/stop", deed="skip", field_id=stop.field_id, why="gate locked")
    text = client.get("/rigs").text
    assert "skipped: gate locked" in text
    assert "1 stop no longer to be sprayed" in text
    client.send_form("/rigs/plan")
    assert stop.field_id not in [
        one.field_id for _, one in _stops(farm.stores.route_plans.latest())
    ]
    assert "Put back" in client.get("/rigs").text
    client.send_form("/rigs/stop", deed="put_back", field_id=stop.field_id)
    client.send_form("/rigs/plan")
    assert stop.field_id in _planned(farm)


def test_a_skipped_field_stands_apart_on_the_order_too(client_as, desk, plan):
    client = client_as("dispatcher")
    assert "CALL OVERTAKEN" not in client.get("/").text
    client.send_form("/rigs/stop", deed="skip", field_id=_stops(plan)[0][1].field_id, why="")
    assert client.get("/").text.count("CALL OVERTAKEN") == 1


def test_a_lock_is_the_same_plan_with_the_stop_held(client_as, farm, plan):
    stop = _stops(plan)[0][1]
    client = client_as("dispatcher")
    told = {"field_id": stop.field_id, "revision": str(plan.revision)}
    assert client.send_form("/rigs/stop", deed="lock", **told).status_code == 303
    locked = farm.stores.route_plans.latest()
    assert [one.field_id for _, one in _stops(locked) if one.locked] == [stop.field_id]
    assert locked.revision == plan.revision + 1
    assert locked.made_utc == plan.made_utc
    assert [one.start_utc for _, one in _stops(locked)] == [
        one.start_utc for _, one in _stops(plan)
    ]
    # A lock pressed on a page of the plan before does not fall on the one that replaced it.
    stale = client.send_form("/rigs/stop", deed="unlock", **told)
    assert stale.status_code == 409
    assert farm.stores.route_plans.latest() == locked


def test_a_locked_stop_stays_locked_when_planned_again(client_as, farm, plan):
    stop = _stops(plan)[0][1]
    client = client_as("dispatcher")
    revision = str(plan.revision)
    client.send_form("/rigs/stop", deed="lock", field_id=stop.field_id, revision=revision)
    client.send_form("/rigs/plan")
    again = {one.field_id: one for _, one in _stops(farm.stores.route_plans.latest())}
    assert again[stop.field_id].locked
    assert again[stop.field_id].start_utc == stop.start_utc


def test_a_stop_past_its_time_asks_whether_it_was_sprayed(client_as, plan, clock):
    clock.now = max(stop.end_utc for day, stop in _stops(plan) if day.on == plan.days[0].on)
    text = client_as("operator").get("/rigs").text
    assert "its time is past and no spray is logged" in text


def test_stops_whose_forecast_grew_too_old_are_not_to_be_sprayed(client_as, plan, clock):
    clock.passes(timedelta(hours=20))
    text = client_as("operator").get("/rigs").text
    ahead = [stop for _, stop in _stops(plan) if stop.start_utc > clock.now]
    assert text.count("its call is overtaken") == len(ahead) > 0
    assert '<svg class="track-of planned"' not in text


def test_a_plan_whose_days_are_past_shows_no_stop(client_as, plan, clock):
    clock.passes(timedelta(days=9))
    text = client_as("operator").get("/rigs").text
    assert "No day of this plan lies ahead" in text
    assert 'class="lane"' not in text


def test_a_plan_from_before_the_newest_morning_says_so(client_as, desk, farm, plan):
    older = plan.model_copy(update={"morning_utc": plan.morning_utc - timedelta(days=1)})
    farm.stores.route_plans.keep(older, farm.now)
    assert "before the newest morning" in client_as("operator").get("/rigs").text


def test_what_if_keeps_nothing(client_as, farm, plan):
    answer = client_as("dispatcher").send_form("/rigs/compare", rigs="3")
    assert answer.status_code == 200
    rows = re.search(r'id="if".*?<tbody>(.*?)</tbody>', answer.text, re.DOTALL)
    # Entered are two; asked were three, with one fewer and one more.
    assert re.findall(r"<tr><td>(\d+)</td>", rows[1]) == ["2", "3", "4"]
    assert farm.stores.route_plans.latest() == plan


def test_nobody_plans_twice_at_once(client_as, desk, plan):
    with desk.rigs._searching:
        answer = client_as("dispatcher").send_form("/rigs/plan")
    assert answer.status_code == 409
    assert "somebody plans right now" in answer.text


@pytest.mark.parametrize("role", ["scout", "grower"])
def test_those_who_run_no_rigs_cannot_report(client_as, farm, plan, role):
    client = client_as(role, ("hallock",) if role == "grower" else ())
    stop = _stops(plan)[0][1]
    for path, told in (
        ("/rigs/plan", {}),
        ("/rigs/compare", {"rigs": "3"}),
        ("/rigs/stop", {"deed": "done", "field_id": stop.field_id}),
    ):
        assert client.send_form(path, **told).status_code == 403
    assert farm.stores.route_plans.latest() == plan
    assert (
        "<form"
        not in client.get("/rigs")
        .text.replace('action="/leave"', "")
        .split("<main")[1]
        .split("</main")[0]
    )


def test_a_grower_sees_when_rigs_come_to_their_fields_and_nothing_else(client_as, desk, plan):
    text = client_as("grower", ("hallock",)).get("/rigs").text
    owners = {one.field.id: one.field.grower_id for one in desk.mornings.latest().fields}
    own = [stop for _, stop in _stops(plan) if owners[stop.field_id] == "hallock"]
    others = [stop for _, stop in _stops(plan) if owners[stop.field_id] != "hallock"]
    assert own
    assert others
    assert all(stop.field_name in text for stop in own)
    assert not any(stop.field_name in text or stop.field_id in text for stop in others)


def test_a_sheet_to_print_is_one_rig_day(client_as, plan):
    client = client_as("operator")
    day = plan.days[0]
    answer = client.get(f"/rigs/{day.rig_id}/{day.on.isoformat()}/sheet")
    assert answer.status_code == 200
    assert all(stop.field_name in answer.text for stop in day.stops)
    assert "script-src" not in answer.headers["content-security-policy"]
    for wrong in (f"/rigs/none/{day.on.isoformat()}/sheet", f"/rigs/{day.rig_id}/2020-01-01/sheet"):
        assert client.get(wrong).status_code == 404


def test_a_grower_has_no_sheet(client_as, plan):
    day = plan.days[0]
    path = f"/rigs/{day.rig_id}/{day.on.isoformat()}/sheet"
    assert client_as("grower", ("hallock",)).get(path).status_code == 404


def test_looking_changes_nothing(client_as, farm, plan):
    def count():
        records = season_records(farm.stores, "America/Chicago", farm.now)
        return len(records.sprays), farm.stores.route_plans.latest(), farm.stores.route_notes.all()

    before, client = count(), client_as("dispatcher")
    for path in ("/rigs", "/rigs?rig=wide", "/rigs/plan", "/rigs/stop", "/rigs/compare"):
        client.get(path)
    assert count() == before
