"""Taking records back by their button."""

from datetime import timedelta
from uuid import UUID, uuid4

import pytest

from farm.records import Spray, Visit


def _visit(farm) -> str:
    visit = Visit(
        uuid=uuid4(),
        field_id="windmill",
        observed_utc=farm.now - timedelta(days=3),
        scout="Ivy",
        percent_open=71,
    )
    farm.stores.visits.add([visit], farm.now)
    return f"/records/visit/{visit.uuid}/undo"


def _spray(farm) -> str:
    spray = Spray(uuid=uuid4(), field_id="windmill", sprayed_utc=farm.now, treatment_id="aid-12")
    farm.stores.sprays.add(spray, farm.now)
    return f"/records/spray/{spray.uuid}/undo"


def _retractions(farm):
    return farm.stores.retractions.all()


def test_the_page_asks_and_the_button_takes_back_with_who_and_why(farm, client_as):
    path, client = _visit(farm), client_as("scout")
    asked = client.get(path).text
    assert "Windmill Quarter: Sat 3 Oct 6:10 am, scout Ivy, open 71 %" in asked
    assert _retractions(farm) == ()
    answer = client.send_form(path, why="wrong field")
    assert (answer.status_code, answer.headers["location"]) == (303, "/fields/windmill#records")
    (told,) = _retractions(farm)
    assert (told.by, told.why, told.kind) == (client.account, "wrong field", "visit")


def test_pressed_again_it_changes_nothing_even_a_day_later(farm, clock, client_as):
    path, client = _visit(farm), client_as("scout")
    client.send_form(path, why="first")
    clock.passes(timedelta(hours=11))
    assert client.send_form(path, why="second").status_code == 303
    assert [one.why for one in _retractions(farm)] == ["first"]
    assert "taken back" in client.get(path).text


def test_after_a_day_the_button_is_gone_and_the_page_says_what_else_does_it(farm, clock, client_as):
    path = _visit(farm)
    clock.passes(timedelta(hours=24))
    client = client_as("scout")
    assert f'href="{path}"' in client.get("/fields/windmill").text
    clock.passes(timedelta(minutes=1))
    assert f'href="{path}"' not in client.get("/fields/windmill").text
    assert "warmspell scout undo" in client.get(path).text
    assert client.send_form(path).status_code == 409
    assert _retractions(farm) == ()


@pytest.mark.parametrize(
    ("role", "visit", "spray"),
    [
        ("dispatcher", 303, 303),
        ("consultant", 303, 303),
        ("operator", 303, 303),
        ("scout", 303, 403),
        ("grower", 403, 403),
    ],
)
def test_who_may_take_back_what(farm, client_as, role, visit, spray):
    client = client_as(role, ("hallock",) if role == "grower" else ())
    for path, status in ((_visit(farm), visit), (_spray(farm), spray)):
        shown = f'href="{path}"' in client.get("/fields/windmill").text
        assert shown == (status == 303)
        assert client.get(path).status_code == (200 if status == 303 else status)
        assert client.send_form(path).status_code == status


def test_anothers_record_is_not_found_just_as_one_that_is_not_there(farm, client_as):
    client = client_as("grower", ("quillen",))
    for path in (_visit(farm), f"/records/visit/{UUID(int=1)}/undo"):
        answer = client.send_form(path)
        assert (answer.status_code, client.get(path).status_code) == (404, 404)
        assert "no such record here" in answer.text
    assert _retractions(farm) == ()


def test_a_record_of_one_kind_is_not_found_as_another(farm, client_as):
    path = _spray(farm).replace("spray", "visit")
    assert client_as("dispatcher").send_form(path).status_code == 404


def test_a_form_without_the_key_of_its_session_takes_nothing_back(farm, client_as):
    path, client = _visit(farm), client_as("scout")
    assert client.post(path, data={"form_key": "x"}).status_code == 403
    assert _retractions(farm) == ()
