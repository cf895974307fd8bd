"""The pages of the scouts, and visits that come in by them."""

import base64
import io
import re
from datetime import timedelta
from uuid import UUID, uuid4

import pytest
from PIL import Image

from web.scout_worker import version

NODES = "4 3 3 4 3 2 4 3"


@pytest.fixture
def ids(farm):
    """Ids of the demo's fields by their names."""
    return {one.name: one.id for one in farm.config.fields}


@pytest.fixture
def scout(client_as):
    """A scout who is in."""
    return client_as("scout")


def sent(client, **columns):
    """A visit out of a phone's queue."""
    headers = {"x-form-key": client.form_key}
    return client.post("/scout/visits", json=columns, headers=headers)


def visits_of(farm, uuid):
    return [one for one in farm.stores.visits.all() if one.uuid == UUID(uuid)]


def test_fields_are_listed_with_most_gain_first(scout):
    names = re.findall(r'class="walk-name">([^<]+)<', scout.get("/scout").text)
    # The order of `warmspell scout due` on the demo's morning.
    assert names[:4] == ["Mesquite", "Low Ford", "Old Tank Half", "Beaver Trap"]


def test_a_field_that_was_walked_since_leaves_the_list(scout, farm, ids):
    answer = sent(scout, field_id=ids["Mesquite"], plant_nodes=NODES, uuid=str(uuid4()))
    assert answer.status_code == 200
    assert "Mesquite" not in re.findall(r'class="walk-name">([^<]+)<', scout.get("/scout").text)


def test_a_visit_of_a_phone_is_kept_under_its_account(scout, farm, ids):
    uuid = str(uuid4())
    answer = sent(scout, field_id=ids["Mesquite"], plant_nodes=NODES, uuid=uuid, scout="a.nother")
    assert answer.json()["state"] == "kept"
    (visit,) = visits_of(farm, uuid)
    assert visit.scout == scout.account
    assert visit.plant_nodes == (4, 3, 3, 4, 3, 2, 4, 3)


def test_a_visit_whose_answer_was_lost_is_kept_once(scout, farm, ids):
    visit = {"field_id": ids["Mesquite"], "plant_nodes": NODES, "uuid": str(uuid4())}
    visit["observed"] = "2026-10-06T10:40:00Z"
    states = [sent(scout, **visit).json()["state"] for _ in range(3)]
    assert states == ["kept", "known", "known"]
    assert len(visits_of(farm, visit["uuid"])) == 1


def test_refusals_are_told_one_by_one_with_their_column(scout, ids):
    answer = sent(
        scout, field_id=ids["Mesquite"], plant_nodes="4 x", percent_open="120", uuid=str(uuid4())
    )
    assert answer.status_code == 422
    told = {one["column"]: one["problem"] for one in answer.json()["problems"]}
    assert set(told) == {"plant_nodes", "percent_open"}
    assert told["percent_open"] == 'got "120", wanted a number 0 to 100'


def test_a_visit_without_a_number_of_its_own_is_refused(scout, ids):
    answer = sent(scout, field_id=ids["Mesquite"], plant_nodes=NODES)
    assert answer.json()["problems"][0]["column"] == "uuid"


def test_a_column_that_there_is_not_is_refused(scout, ids):
    answer = sent(scout, field_id=ids["Mesquite"], tenant_id="x", uuid=str(uuid4()))
    assert answer.status_code == 422


def test_a_visit_without_the_key_of_the_session_is_refused(scout, farm, ids):
    uuid = str(uuid4())
    visit = {"field_id": ids["Mesquite"], "plant_nodes": NODES, "uuid": uuid}
    assert scout.post("/scout/visits", json=visit).status_code == 403
    assert visits_of(farm, uuid) == []


def test_a_grower_scouts_nothing(client_as, farm, ids):
    grower = client_as("grower", ("hallock",))
    for path in ("/scout", "/scout-any", "/scout-who", f"/scout/{ids['Mesquite']}"):
        assert grower.get(path).status_code == 403
    uuid = str(uuid4())
    assert sent(grower, field_id=ids["Mesquite"], plant_nodes=NODES, uuid=uuid).status_code == 403
    assert visits_of(farm, uuid) == []


def test_a_queue_is_told_who_is_in_and_nobody_is_sent_to_the_door(scout, outside, clock):
    told = scout.get("/scout-who").json()
    assert told == {
        "name": scout.account,
        "form_key": scout.form_key,
        "now_utc": clock().isoformat(),
    }
    assert outside.get("/scout-who", follow_redirects=False).status_code == 303


def test_no_call_to_spray_stands_on_pages_that_are_kept(scout, desk):
    called = [one for one in desk.mornings.latest().fields if one.rank is not None]
    assert {one.call.value for one in called} == {"spray", "short"}
    for one in called:
        text = scout.get(f"/scout/{one.field.id}").text
        assert one.field.name in text
        assert "SPRAY" not in text
        assert "SHORT" not in text


def test_a_plan_of_another_day_says_so(scout, clock):
    assert "By the plan of Tue 6 Oct, 6:10 am." in scout.get("/scout").text
    for _ in range(2):  # no longer silent than a session may be
        assert "This is not today's plan." not in scout.get("/scout").text
        clock.passes(timedelta(hours=10))
    assert "This is not today's plan." in scout.get("/scout").text


def test_an_unknown_field_has_no_form(scout):
    assert scout.get("/scout/no-such-field").status_code == 404


def test_the_form_of_any_field_lists_all_of_them(scout, ids):
    text = scout.get("/scout-any").text
    assert all(f'<option value="{one}"' in text for one in ids.values())


def typed_in(text):
    """What a form holds when it is opened: names of inputs and their values."""
    inputs = re.findall(r"<input[^>]*>", text)
    told = {}
    for one in inputs:
        name, value = re.search(r'name="(\w+)"', one), re.search(r'value="([^"]*)"', one)
        if name and value and 'type="checkbox"' not in one and name[1] != "form_key":
            told[name[1]] = value[1]
    return told


def test_without_scripts_the_form_is_sent_as_it_stands(scout, farm, ids):
    form = typed_in(scout.get(f"/scout/{ids['Mesquite']}").text) | {"plant_nodes": NODES}
    for _ in range(2):  # pressed twice
        answer = scout.send_form("/scout", **form)
        assert answer.headers["location"] == f"/scout?kept={ids['Mesquite']}"
    (visit,) = visits_of(farm, form["uuid"])
    assert visit.scout == scout.account
    assert "Visit to Mesquite kept." in scout.get(answer.headers["location"]).text


def test_without_scripts_refusals_stand_at_what_they_are_about(scout, ids):
    form = typed_in(scout.get(f"/scout/{ids['Mesquite']}").text)
    answer = scout.send_form("/scout", **form | {"percent_open": "120", "note": "<b>by the road"})
    assert answer.status_code == 422
    problem = re.search(r'id="percent_open-problem"[^>]*>([^<]*)<', answer.text)
    assert problem[1] == "got &#34;120&#34;, wanted a number 0 to 100"
    assert typed_in(answer.text)["percent_open"] == "120"
    assert "&lt;b&gt;by the road" in answer.text


def test_a_photo_comes_with_its_visit_and_is_for_those_who_see_the_field(
    scout, client_as, farm, ids
):
    file = io.BytesIO()
    Image.new("RGB", (40, 30)).save(file, "JPEG")
    photo = base64.b64encode(file.getvalue()).decode()
    field, uuid = ids["Creek Bottom"], str(uuid4())
    answer = sent(scout, field_id=field, plant_nodes=NODES, uuid=uuid, photo=photo)
    assert answer.status_code == 200
    own, path = farm.fields_by_id[field].grower_id, f"/photos/{field}/{uuid}"
    seen = client_as("grower", (own,)).get(path)
    assert seen.headers["content-type"] == "image/jpeg"
    assert f'href="{path}"' in scout.get(f"/fields/{field}").text
    other = next(one.grower_id for one in farm.config.fields if one.grower_id != own)
    assert client_as("grower", (other,)).get(path).status_code == 404


def test_text_in_place_of_a_photo_is_refused(scout, ids):
    answer = sent(
        scout, field_id=ids["Mesquite"], plant_nodes=NODES, uuid=str(uuid4()), photo="not base64!"
    )
    assert answer.json()["problems"][0]["column"] == "photo"


def test_the_worker_keeps_files_that_there_are(outside):
    answer = outside.get("/sw.js")
    assert answer.headers["content-type"].startswith("text/javascript")
    assert version() in answer.text
    files = re.findall(r'"(/static/[^"]+)"', answer.text.splitlines()[1])
    assert len(files) == 9
    assert [outside.get(path).status_code for path in files] == [200] * len(files)


def test_pages_ask_for_files_by_the_version_the_worker_keeps(scout, outside, ids):
    kept = re.findall(r'"(/static/[^"]+)"', outside.get("/sw.js").text.splitlines()[1])
    for path in ("/scout", f"/scout/{ids['Mesquite']}"):
        asked = re.findall(r'(?:src|href)="(/static/[^"#]+)', scout.get(path).text)
        assert set(asked) <= set(kept)
