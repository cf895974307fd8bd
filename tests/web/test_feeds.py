"""Calendars by address: what is in them, that it follows the morning, and who may read it."""

import re
from datetime import timedelta
from uuid import uuid4

import pytest
from fastapi.testclient import TestClient
from icalendar import Calendar

from dispatch.report import Call
from farm.account import Account
from farm.records import Spray
from scheduler.plans import latest_plan
from storage.take_back import take_back
from tests.web.board_client import NO_PASSWORD
from tests.web.quick_plans import quick
from web.app import make_app
from web.enter import OneTimeLink
from web.feeds_page import MOST, WRONG
from web.settings import BoardSettings


def made(client, tells="windows") -> str:
    """The path of a new calendar."""
    answer = client.send_form("/feed", tells=tells)
    assert answer.status_code == 200
    return re.search(r"https://board\.example\.org(/feeds/[\w-]{43}\.ics)", answer.text)[1]


def events(client, path):
    answer = client.get(path)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "text/calendar; charset=utf-8"
    assert answer.headers["cache-control"] == "no-store"
    return list(Calendar.from_ical(answer.text).walk("VEVENT"))


def named(found, name):
    return [one for one in found if name in str(one["summary"])]


def report_of(farm):
    return latest_plan(farm.stores, farm.config.path)


def sprayed(farm, field_id, at) -> Spray:
    spray = Spray(uuid=uuid4(), field_id=field_id, sprayed_utc=at, treatment_id="aid-12")
    farm.stores.sprays.add(spray, at)
    return spray


def test_only_fields_to_spray_have_windows_and_what_is_not_known_has_none(client_as, outside, farm):
    report = report_of(farm)
    found = events(outside, made(client_as("dispatcher")))
    acting = {one.field.name for one in report.to_act_on()}
    assert len(acting) > 5
    assert {re.sub(r"^\w+ |, .*", "", str(one["summary"])) for one in found} == acting
    for one in report.with_call(Call.UNKNOWN, Call.LOOK, Call.WAIT):
        assert named(found, f" {one.field.name},") == []


def test_an_entry_has_the_hours_of_its_window_and_whole_lines(client_as, outside, farm):
    report = report_of(farm)
    one = next(one for one in report.to_act_on() if one.field.name == "Creek Bottom")
    first = named(events(outside, made(client_as("dispatcher"))), "Creek Bottom")[0]

    assert (first["dtstart"].dt, first["dtend"].dt) == (
        one.windows[0].start_utc,
        one.windows[0].end_utc,
    )
    assert str(first["summary"]) == "SHORT Creek Bottom, 110 ac, part of a window"
    assert "The label is the law" in first["description"]
    assert {"UID", "DTSTAMP", "SEQUENCE"} <= set(first)


def test_every_name_is_its_own_and_stays(client_as, outside, clock):
    path = made(client_as("dispatcher"))
    first = [str(one["uid"]) for one in events(outside, path)]
    assert len(set(first)) == len(first)
    clock.passes(timedelta(minutes=5))
    assert [str(one["uid"]) for one in events(outside, path)] == first
    # A calendar made anew names the same entries alike.
    assert [str(one["uid"]) for one in events(outside, made(client_as("scout")))] == first


def test_a_call_that_is_overtaken_is_cancelled_and_its_number_rises(
    client_as, outside, farm, clock
):
    path = made(client_as("dispatcher"))
    (before, *_) = named(events(outside, path), "Creek Bottom")
    clock.passes(timedelta(minutes=10))
    spray = sprayed(farm, "creek-bottom", clock())
    (gone, *_) = named(events(outside, path), "Creek Bottom")

    assert (before["uid"], "STATUS" in before) == (gone["uid"], False)
    assert (gone["status"], str(gone["summary"])) == ("CANCELLED", "Not any more: Creek Bottom")
    assert gone["sequence"] > before["sequence"]

    take_back(farm.stores, "spray", spray.uuid, clock())
    (again, *_) = named(events(outside, path), "Creek Bottom")
    assert ("STATUS" in again, again["uid"]) == (False, before["uid"])
    assert again["sequence"] > gone["sequence"]


@pytest.mark.parametrize("hours", [13, 30])
def test_no_window_stands_once_its_forecast_is_too_old(client_as, outside, clock, hours):
    path = made(client_as("dispatcher"))
    before = {str(one["uid"]): one["sequence"] for one in events(outside, path)}
    clock.passes(timedelta(hours=hours))
    after = events(outside, path)

    assert {str(one["uid"]) for one in after} == set(before)
    assert {str(one["status"]) for one in after} == {"CANCELLED"}
    assert all(one["sequence"] > before[str(one["uid"])] for one in after)


def test_a_growers_calendar_holds_their_fields_alone(client_as, outside, farm):
    own = {one.field.name for one in report_of(farm).fields if one.field.grower_id == "hallock"}
    others = {one.field.name for one in report_of(farm).fields} - own
    text = outside.get(made(client_as("grower", ("hallock",)))).text
    assert any(name in text for name in own)
    assert [name for name in others if name in text] == []


def test_a_closed_account_and_one_with_other_growers_count_at_once(client_as, outside, farm):
    accounts = farm.stores.accounts
    client = client_as("grower", ("hallock",))
    path = made(client)

    def changed(**told):
        """Change an account past the store, which would end its feeds."""
        text = accounts.of_name(client.account).model_copy(update=told).model_dump_json()
        with farm.stores.database.write() as connection:
            connection.exec_driver_sql(
                "UPDATE board_accounts SET record = ? WHERE name = ?", (text, client.account)
            )

    changed(grower_ids=("aldama",))
    told = outside.get(path).text
    own = [one.field.name for one in report_of(farm).to_act_on() if one.field.grower_id == "aldama"]
    assert [name for name in own if name in told] == own
    assert "Creek Bottom" not in told

    changed(ended_utc=farm.now)
    assert outside.get(path).status_code == 404


def test_a_new_password_ends_the_calendars_of_an_account(client_as, outside, farm):
    client = client_as("operator")
    path = made(client)
    farm.stores.accounts.change(
        client.account, lambda one: one.model_copy(update={"password_hash": "x" * 30})
    )
    assert outside.get(path).status_code == 404


def test_an_address_is_shown_once_ended_by_its_owner_and_by_nobody_else(client_as, outside):
    client, other = client_as("scout"), client_as("operator")
    path = made(client)
    page = client.get("/feed").text
    assert path not in page
    key = re.search(r'name="key" value="(\w+)"', page)[1]
    assert key not in path
    assert key not in other.get("/feed").text

    assert other.send_form("/feed/end", key=key).status_code == 404
    assert outside.get(path).status_code == 200
    assert client.post("/feed/end", data={"key": key}).status_code == 403
    assert client.send_form("/feed/end", key=key).status_code == 303
    assert outside.get(path).status_code == 404
    assert client.send_form("/feed/end", key=key).status_code == 404


def test_the_secret_is_kept_nowhere(client_as, farm):
    secret = made(client_as("scout")).removeprefix("/feeds/").removesuffix(".ics")
    with farm.stores.database.read() as connection:
        dump = "\n".join(connection.connection.driver_connection.iterdump())
    assert "board_feeds" in dump
    assert secret not in dump


def test_guessing_addresses_is_slowed_down(outside, clock):
    tried = [outside.get(f"/feeds/guess-{n}.ics").status_code for n in range(WRONG + 2)]
    assert tried == [404] * WRONG + [429] * 2
    clock.passes(timedelta(minutes=16))
    assert outside.get("/feeds/guess.ics").status_code == 404


@pytest.mark.parametrize("tells", ["", "moon", "rig:", "rig:moon", "x" * 81])
def test_what_no_calendar_tells_is_refused(client_as, tells):
    assert client_as("scout").send_form("/feed", tells=tells).status_code == 422


def test_nobody_makes_addresses_without_end(client_as, farm):
    client = client_as("scout")
    for _ in range(MOST):
        made(client)
    assert client.send_form("/feed", tells="windows").status_code == 409


def test_the_one_person_at_this_machine_has_calendars_that_no_account_inherits(
    desk, farm, app, outside
):
    link = OneTimeLink()
    alone = make_app(desk, BoardSettings(), link=link)
    client = TestClient(alone, base_url="http://127.0.0.1:8737")
    client.post(f"/enter/{link.secret}")
    form_key = re.search(r'data-form-key="(\w+)"', client.get("/feed").text)[1]
    text = client.post("/feed", data={"form_key": form_key, "tells": "windows"}).text
    path = re.search(r"http://127\.0\.0\.1:8737(/feeds/\S+\.ics)", text)[1]

    farm.stores.accounts.add(
        Account(name="you", role="scout", password_hash=NO_PASSWORD, added_utc=farm.now)
    )
    assert TestClient(alone, base_url="http://127.0.0.1:8737").get(path).status_code == 200
    assert outside.get(path).status_code == 404


class TestStops:
    """Stops of rigs."""

    @pytest.fixture
    def demo(self, demo):
        """A farm that plans quickly."""
        return quick(demo)

    @pytest.fixture(autouse=True)
    def plan(self, desk):
        """A plan of the rigs after the morning."""
        return desk.rigs.plan(desk.mornings.latest())

    def test_every_stop_has_its_entry_at_its_time(self, client_as, outside, plan):
        found = events(outside, made(client_as("operator"), "rigs"))
        stops = [stop for day in plan.days for stop in day.stops]
        assert len(stops) > 3
        assert sorted(one["dtstart"].dt for one in found) == sorted(one.start_utc for one in stops)

    def test_one_rig_is_told_alone(self, client_as, outside, plan):
        rig = plan.days[0].rig_id
        found = events(outside, made(client_as("operator"), f"rig:{rig}"))
        stops = [stop for day in plan.days if day.rig_id == rig for stop in day.stops]
        assert len(found) == len(stops)

    def test_a_stop_whose_field_is_skipped_is_cancelled(self, client_as, outside, plan, desk):
        path, stop = made(client_as("operator"), "rigs"), plan.days[0].stops[0]
        (before,) = named(events(outside, path), stop.field_name)
        desk.rigs.skip(stop.field_id, "wet gate")
        (after,) = named(events(outside, path), stop.field_name)
        assert (after["uid"], after["status"]) == (before["uid"], "CANCELLED")
        assert after["sequence"] > before["sequence"]
        assert "wet gate" in after["description"]

    def test_a_grower_reads_when_rigs_come_to_their_fields_and_nothing_else(
        self, client_as, outside, farm, plan
    ):
        found = events(outside, made(client_as("grower", ("hallock",)), "rigs"))
        stops = [
            stop.field_name
            for day in plan.days
            for stop in day.stops
            if farm.fields_by_id[stop.field_id].grower_id == "hallock"
        ]
        assert stops
        assert len(found) == len(stops)
        assert all(any(name in str(one["summary"]) for name in stops) for one in found)
        text = "".join(str(one["description"]) for one in found)
        assert "Drives" not in text
        assert " mi " not in text

    def test_no_stop_stands_on_a_forecast_that_is_too_old(self, client_as, outside, clock, plan):
        path = made(client_as("operator"), "rigs")
        clock.passes(timedelta(hours=13))
        later = [one for one in events(outside, path) if one["dtstart"].dt > clock()]
        assert later
        assert {str(one["status"]) for one in later} == {"CANCELLED"}
