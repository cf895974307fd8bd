"""The browsers of the tests stand where people stand."""

from tests.web.board_client import BoardClient
from web.sessions import form_key


def test_somebody_who_is_in_sees_the_order_of_the_demo(client_as):
    answer = client_as("dispatcher").get("/")
    assert answer.status_code == 200
    assert "Creek Bottom" in answer.text


def test_the_key_of_a_client_is_the_one_its_pages_carry(client_as):
    client = client_as("scout")
    assert client.form_key == form_key(client.secret)
    assert f'data-form-key="{client.form_key}"' in client.get("/").text


def test_a_grower_sees_their_fields_alone(client_as):
    text = client_as("grower", ("hallock",)).get("/").text
    assert "Creek Bottom" in text
    assert "Cistern" not in text


def test_nobody_is_asked_in(outside: BoardClient):
    answer = outside.get("/", follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/enter")


def test_leaving_by_a_form_ends_the_session(client_as):
    client = client_as("dispatcher")
    assert client.send_form("/leave").status_code == 200
    assert client.get("/", follow_redirects=False).status_code == 303
