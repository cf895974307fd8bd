"""Scouting on a phone, with signal, without, and with an answer that never came.

These tests add visits to the farm of the board; each walks a field of its own.
"""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from scheduler.opening import open_farm

Visits = Callable[[str], list[Any]]


@pytest.fixture
def ids(demo: Path) -> dict[str, str]:
    """Ids of the demo's fields by their names."""
    with open_farm(demo / "farm.toml") as farm:
        return {one.name: one.id for one in farm.config.fields}


@pytest.fixture
def visits(demo: Path, ids: dict[str, str]) -> Visits:
    """Visits to a field by its name that came by the board."""
    with open_farm(demo / "farm.toml") as farm:
        before = {one.uuid for one in farm.stores.visits.all()}

    def found(name: str) -> list[Any]:
        with open_farm(demo / "farm.toml") as farm:
            of_field = farm.stores.visits.of_field(ids[name])
        return [one for one in of_field if one.uuid not in before]

    return found


def ready(phone: Any) -> None:
    """Wait until the pages are kept."""
    phone.goto("/scout")
    phone.get_by_text("This works without signal now.").wait_for()


def tap_nodes(phone: Any, *nodes: int) -> None:
    keys = phone.locator('[data-tally="plant_nodes"]')
    for one in nodes:
        keys.get_by_role("button", name=str(one), exact=True).click()


def send(phone: Any) -> None:
    phone.get_by_role("button", name="Send", exact=True).click()
    phone.get_by_role("button", name="Send the visit").click()


def send_now(phone: Any) -> None:
    """Press the button, which goes once the browser has sent it all in the background."""
    phone.locator("#send-now").dispatch_event("click")


def row(phone: Any, name: str, state: str) -> Any:
    """A visit in the list of this phone."""
    return phone.locator("#outbox li").filter(has_text=re.compile(rf"{state}\s+{name}"))


def test_a_visit_made_without_signal_is_delivered_once(phone, ids, visits, complaints):
    ready(phone)
    phone.context.set_offline(True)
    phone.goto(f"/scout/{ids['Antelope']}")
    assert phone.get_by_label("Field", exact=True).input_value() == ids["Antelope"]
    tap_nodes(phone, 4, 5, 3)
    send(phone)
    phone.get_by_role("heading", name="Kept on this phone").wait_for()
    phone.goto("/scout")
    row(phone, "Antelope", "WAITS").wait_for()
    assert visits("Antelope") == []
    phone.context.set_offline(False)
    row(phone, "Antelope", "SENT").wait_for()
    phone.reload()
    row(phone, "Antelope", "SENT").wait_for()
    (visit,) = visits("Antelope")
    assert visit.plant_nodes == (4, 5, 3)
    complaints.clear()


def test_two_visits_from_a_page_that_was_kept_are_two(phone, ids, visits, complaints):
    ready(phone)
    phone.context.set_offline(True)
    for nodes in ((4, 4), (5, 5)):
        phone.goto("/scout-any")
        phone.get_by_label("Field", exact=True).select_option(ids["Blackjack"])
        tap_nodes(phone, *nodes)
        send(phone)
        phone.get_by_role("heading", name="Kept on this phone").wait_for()
    phone.context.set_offline(False)
    row(phone, "Blackjack", "SENT").nth(1).wait_for()
    assert sorted(one.plant_nodes for one in visits("Blackjack")) == [(4, 4), (5, 5)]
    complaints.clear()


def test_a_visit_whose_answer_never_came_is_sent_again_and_kept_once(
    phone, ids, visits, complaints
):
    ready(phone)
    phone.goto(f"/scout/{ids['Two Gates']}")
    answers = []

    def lose_the_first(route: Any) -> None:
        if answers:
            route.continue_()
            return
        answers.append(route.fetch().status)
        route.abort()

    phone.context.route("**/scout/visits", lose_the_first)
    tap_nodes(phone, 4, 4)
    send(phone)
    phone.locator("#done").wait_for()
    assert answers == [200]
    assert len(visits("Two Gates")) == 1
    send_now(phone)
    row(phone, "Two Gates", "SENT").wait_for()
    assert len(visits("Two Gates")) == 1
    complaints.clear()


def test_a_queue_outlives_a_session_and_asks_for_it(phone, ids, visits, way_in, complaints):
    ready(phone)
    phone.goto(f"/scout/{ids['Far Corner']}")
    phone.context.clear_cookies()
    tap_nodes(phone, 6, 6)
    send(phone)
    phone.get_by_role("heading", name="Kept on this phone").wait_for()
    assert phone.locator("#outbox-status").get_by_role("link", name="Log in").is_visible()
    assert visits("Far Corner") == []
    phone.context.add_cookies(way_in)
    send_now(phone)
    row(phone, "Far Corner", "SENT").wait_for()
    assert len(visits("Far Corner")) == 1
    complaints.clear()


def test_a_visit_of_another_scout_is_not_sent_by_this_one(phone, ids, visits):
    ready(phone)
    phone.evaluate(
        """(field) => scoutQueue.put({uuid: crypto.randomUUID(), by: "somebody.else", field,
        name: "Schoolhouse", when: "Tue", made: "2026-10-06", state: "queued", photo: "",
        texts: {field_id: field, plant_nodes: "3 3"}, problems: [], said: []})""",
        ids["Schoolhouse"],
    )
    send_now(phone)
    phone.get_by_text("Some wait for the scout who made them").wait_for()
    assert visits("Schoolhouse") == []


def test_what_is_refused_is_told_where_it_is_and_mended(phone, ids, visits, complaints):
    phone.goto(f"/scout/{ids['Long Eighty']}")
    phone.get_by_role("button", name="Bolls", exact=True).click()
    phone.get_by_text("Not counted: an estimate").click()
    phone.get_by_label("Percent open").fill("120")
    send(phone)
    problem = phone.locator("#percent_open-problem")
    problem.wait_for()
    assert problem.inner_text() == 'got "120", wanted a number 0 to 100'
    # Left as it is, it stays on the list with a way back to it.
    phone.goto("/scout")
    row(phone, "Long Eighty", "REFUSED").get_by_role("link", name="Mend it").click()
    problem.wait_for()
    phone.get_by_label("Percent open").fill("20")
    send(phone)
    phone.get_by_role("heading", name="Sent and kept").wait_for()
    (visit,) = visits("Long Eighty")
    assert visit.percent_open == 20
    assert row(phone, "Long Eighty", "REFUSED").count() == 0
    complaints.clear()


def test_half_a_tally_outlives_a_reload(phone, ids):
    phone.goto(f"/scout/{ids['Beaver Trap']}")
    tap_nodes(phone, 3, 4)
    phone.get_by_role("button", name="and a half").click()
    tap_nodes(phone, 5)
    phone.reload()
    assert phone.get_by_label("Each plant, as tapped").input_value() == "3 4 5.5"
    phone.locator('[data-tally="plant_nodes"]').get_by_role("button", name="Undo").click()
    assert phone.get_by_label("Each plant, as tapped").input_value() == "3 4"
    assert "3.5 mean of 2 plants" in phone.locator(".running").first.inner_text()


def test_whoever_comes_or_goes_finds_no_pages_of_who_was_in(phone, complaints):
    ready(phone)
    assert any("pages" in one for one in phone.evaluate("caches.keys()"))
    phone.goto("/enter")
    assert not any("pages" in one for one in phone.evaluate("caches.keys()"))


def test_what_an_older_board_kept_is_thrown_away(phone):
    phone.goto("/scout-any")
    phone.evaluate("caches.open('warmspell-shell-of-last-week')")
    phone.evaluate(
        "navigator.serviceWorker.getRegistration().then((one) => one && one.unregister())"
    )
    ready(phone)
    assert "warmspell-shell-of-last-week" not in phone.evaluate("caches.keys()")


def test_the_nearest_field_is_found_by_where_the_phone_is(new_page, demo, ids):
    with open_farm(demo / "farm.toml") as farm:
        there = farm.fields_by_id[ids["Low Ford"]]
    place = {"latitude": there.latitude + 0.001, "longitude": there.longitude}
    page = new_page(geolocation=place, permissions=["geolocation"])
    page.goto("/scout-any")
    page.get_by_role("button", name="Find the field nearest to me").click()
    # A thousandth of a degree of latitude is 111 m, 0.07 miles.
    page.get_by_text("Low Ford, 0.1 mi away").wait_for()
    assert page.get_by_label("Field", exact=True).input_value() == ids["Low Ford"]


def test_without_scripts_a_visit_is_sent_by_the_form(new_page, ids, visits):
    page = new_page(java_script_enabled=False)
    page.goto(f"/scout/{ids['Old Tank Half']}")
    page.get_by_label("Each plant, as tapped").fill("4 4 3")
    page.get_by_role("button", name="Send the visit").click()
    page.get_by_text("Visit to Old Tank Half kept.").wait_for()
    assert len(visits("Old Tank Half")) == 1
