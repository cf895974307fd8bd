"""What is refused at the door: other names, large bodies, and fields that were slipped in."""

import pytest

from web.guard import BODY_MAX_BYTES
from web.host_names import answering_to, bare_name


@pytest.mark.parametrize(
    ("told", "name"),
    [
        ("board.example.org", "board.example.org"),
        ("Board.Example.org:443", "board.example.org"),
        ("board.example.org.", "board.example.org"),
        ("[::1]:8737", "::1"),
        ("::1", "::1"),
        ("127.0.0.1:8737", "127.0.0.1"),
        ("", ""),
    ],
)
def test_a_host_is_known_by_its_bare_name(told, name):
    assert bare_name(told) == name


def test_a_board_answers_to_its_names_and_this_machines_and_never_to_none():
    assert answering_to(("Board.example.org:8443", "")) == {
        *("board.example.org", "localhost", "127.0.0.1", "::1"),
    }


@pytest.mark.parametrize("name", ["evil.example", "127.0.0.1.evil.example", "", "board.example"])
@pytest.mark.parametrize("path", ["/", "/enter", "/static/board.css", "/no-such-page"])
def test_a_page_of_another_site_cannot_lend_the_board_its_name(client_as, path, name):
    answer = client_as("dispatcher").get(path, headers={"host": name}, follow_redirects=False)
    assert answer.status_code == 421
    assert "Creek Bottom" not in answer.text
    assert answer.headers["content-security-policy"]


def test_a_body_that_says_it_is_too_large_is_not_read(client_as):
    client = client_as("dispatcher")
    answer = client.post("/leave", content=b"x", headers={"content-length": "6000001"})
    assert answer.status_code == 413
    assert client.get("/", follow_redirects=False).status_code == 200


def test_a_body_that_does_not_say_how_large_it_is_is_measured(client_as):
    client = client_as("dispatcher")
    pieces = (b"x" * 500_000 for _ in range(BODY_MAX_BYTES // 500_000 + 1))
    kind = {"content-type": "application/x-www-form-urlencoded"}
    assert client.post("/leave", content=pieces, headers=kind).status_code == 413
    assert client.get("/", follow_redirects=False).status_code == 200


def test_a_field_that_was_slipped_in_is_refused_and_nothing_happens(client_as):
    client = client_as("dispatcher")
    answer = client.send_form("/leave", tenant_id="aldama")
    assert answer.status_code == 422
    assert "tenant_id" in answer.text
    assert client.get("/", follow_redirects=False).status_code == 200


def test_what_was_typed_wrongly_is_not_said_back(outside):
    answer = outside.post("/enter", data={"name": "dana", "password": "canary" * 40})
    assert answer.status_code == 422
    assert "canary" not in answer.text
    assert "password" in answer.text
