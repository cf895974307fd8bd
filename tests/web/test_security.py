"""Headers of every answer, forms of other sessions and sites, and the link that works once."""

import hashlib

import pytest
from sqlalchemy import text

from tests.web.board_client import BoardClient, outsider
from tests.web.route_walk import routes_of
from tests.web.test_rights import OPEN
from web.app import make_app
from web.enter import OneTimeLink
from web.settings import BoardSettings

#: ASVS 5.0, 3.4.1 to 3.4.6 and 14.3.2: what every answer carries.
WANTED = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "strict-transport-security": "max-age=31536000; includeSubDomains",
}
CSP_WANTED = (
    "default-src 'none'",
    "base-uri 'none'",
    "object-src 'none'",
    "frame-ancestors 'none'",
)


def every_answer(client: BoardClient, app):
    for route in routes_of(app):
        yield client.request(route.method, route.address("creek-bottom"), follow_redirects=False)
    for path in (
        "/no-such-page",
        "/static/board.css",
        "/static/none.css",
        "/fields/none",
        "/static",
    ):
        yield client.get(path, follow_redirects=False)
    yield client.put("/", follow_redirects=False)
    yield client.get("/", headers={"host": "evil.example"})
    yield client.post("/leave", content=b"x", headers={"content-length": "7000000"})


@pytest.mark.parametrize("who", ["dispatcher", "nobody"])
def test_every_answer_carries_the_headers(app, client_as, outside, who):
    client = outside if who == "nobody" else client_as(who)
    for answer in every_answer(client, app):
        asked = (answer.request.method, answer.request.url.path, answer.status_code)
        for name, value in WANTED.items():
            assert answer.headers.get(name) == value, (name, *asked)
        csp = answer.headers["content-security-policy"]
        for part in CSP_WANTED:
            assert part in csp, asked
        assert "unsafe-eval" not in csp, asked
        scripts = csp.partition("script-src")[2].partition(";")[0]
        assert "unsafe" not in scripts, asked
        public = answer.request.url.path.startswith(("/static/", "/sw.js"))
        assert public or "no-store" in answer.headers["cache-control"], asked
        assert "server" not in answer.headers


def test_what_breaks_inside_is_not_told_and_carries_the_headers(app, client_as, monkeypatch):
    def broken(*_: object) -> None:
        raise RuntimeError("canary of the inside")

    client = client_as("dispatcher")
    monkeypatch.setattr(type(app.state.desk.mornings), "latest", broken)
    answer = client.get("/")
    assert answer.status_code == 500
    assert "canary" not in answer.text
    assert "Traceback" not in answer.text
    assert answer.headers["content-security-policy"]


def kept(farm) -> str:
    """A digest of everything in the database but when sessions were last used."""
    found = hashlib.sha256()
    with farm.stores.database.read() as connection:
        asked = "SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name"
        for (table,) in connection.execute(text(asked)).all():
            if table != "board_sessions":
                rows = connection.execute(text(f'SELECT * FROM "{table}"')).all()
                found.update(f"{table}{sorted(map(repr, rows))}".encode())
    return found.hexdigest()


@pytest.mark.parametrize(
    ("key", "headers"),
    [
        pytest.param("", {}, id="no key"),
        pytest.param("another's", {}, id="the key of another session"),
        pytest.param("own", {"origin": "https://evil.example"}, id="another origin"),
        pytest.param("own", {"sec-fetch-site": "cross-site"}, id="another site"),
        pytest.param("own", {"sec-fetch-site": "same-site"}, id="a neighbour of the site"),
        pytest.param("own", {"origin": "https://board.example.org.evil.example"}, id="a like name"),
    ],
)
def test_a_form_that_is_not_ours_is_refused_and_changes_nothing(app, farm, client_as, key, headers):
    client, other = client_as("dispatcher"), client_as("consultant")
    sent = {"": "", "own": client.form_key, "another's": other.form_key}[key]
    before, tried = kept(farm), 0
    for route in routes_of(app):
        if route.method in ("GET", "HEAD") or OPEN.fullmatch(route.path):
            continue
        address = route.address("creek-bottom")
        for answer in (
            client.post(address, data={"form_key": sent}, headers=headers),
            client.post(address, json={}, headers={**headers, "x-form-key": sent}),
        ):
            assert answer.status_code == 403, (route.path, answer.status_code)
            tried += 1
    assert tried
    assert kept(farm) == before
    assert client.get("/", follow_redirects=False).status_code == 200


def test_a_login_that_another_site_sends_is_refused(outside):
    typed = {"name": "dana", "password": "four words that fit"}
    answer = outside.post("/enter", data=typed, headers={"sec-fetch-site": "cross-site"})
    assert answer.status_code == 403
    assert "set-cookie" not in answer.headers


def test_fields_that_were_slipped_in_are_refused_by_every_form_that_says_its_own(app, client_as):
    client, tried = client_as("dispatcher"), 0
    for route in routes_of(app):
        if route.method == "POST" and route.dependant.body_params and route.deeds:
            typed = {"form_key": client.form_key, "tenant_id": "aldama"}
            answer = client.post(route.address("creek-bottom"), data=typed, follow_redirects=False)
            assert answer.status_code == 422, route.path
        tried += 1
    assert tried


@pytest.fixture
def local(desk):
    """The board of the one person at this machine, and the link it was started with."""
    link = OneTimeLink()
    app = make_app(desk, BoardSettings(), link=link)
    return app, link.secret


def at_home(app) -> BoardClient:
    return BoardClient(app, base_url="http://127.0.0.1:8737")


def test_the_link_works_once(local):
    app, secret = local
    first, second = at_home(app), at_home(app)
    for _ in range(2):
        assert first.get(f"/enter/{secret}").status_code == 200
    assert first.get("/", follow_redirects=False).status_code == 303
    answer = first.post(f"/enter/{secret}", follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/")
    assert "secure" not in answer.headers["set-cookie"].lower()
    assert "httponly" in answer.headers["set-cookie"].lower()
    assert first.get("/").status_code == 200
    assert second.post(f"/enter/{secret}", follow_redirects=False).status_code == 404
    assert second.get("/", follow_redirects=False).status_code == 303


@pytest.mark.parametrize("guess", ["", "x", "%00", "a" * 5_000])
def test_a_guessed_link_lets_nobody_in_and_uses_nothing_up(local, guess):
    app, secret = local
    client = at_home(app)
    answer = client.post(f"/enter/{guess}", follow_redirects=False)
    assert answer.status_code in (307, 404, 405, 422)
    assert "set-cookie" not in answer.headers
    assert client.post(f"/enter/{secret}", follow_redirects=False).status_code == 303


def test_a_board_of_this_machine_does_not_answer_to_a_name_from_elsewhere(local):
    """A page of another site whose name was made to point here gets nothing: DNS rebinding."""
    app, secret = local
    client = at_home(app)
    client.post(f"/enter/{secret}")
    stranger = {"host": "rebound.example:8737"}
    assert client.get("/", headers=stranger).status_code == 421
    assert client.post("/leave", headers=stranger).status_code == 421
    assert client.get("/", headers={"host": "localhost:8737"}).status_code == 200


def test_nobody_logs_in_where_there_are_no_accounts(local):
    app, _ = local
    typed = {"name": "dana", "password": "four words that fit"}
    assert at_home(app).post("/enter", data=typed).status_code == 404


def test_no_page_about_the_inside_is_open(outside):
    for path in ("/docs", "/redoc", "/openapi.json", "/metrics", "/debug"):
        answer = outside.get(path, follow_redirects=False)
        assert answer.status_code in (303, 401, 404)


def test_the_same_form_key_is_never_given_to_two_sessions(app, client_as):
    first, again = client_as("dispatcher"), client_as("dispatcher")
    assert first.form_key != again.form_key
    assert outsider(app).get("/enter").text.count("data-form-key") == 0
