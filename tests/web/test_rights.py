"""Who sees what: every route, every role, and the ids of somebody else's fields."""

import re
from collections.abc import Iterator
from html.parser import HTMLParser

import pytest
from fastapi import FastAPI

from farm.board_role import BOARD_ROLES
from scheduler.board.desk import desk_of
from tests.web.board_client import BoardClient, outsider, reader_client
from tests.web.hostile_farm import BAD_GROWERS, HostileFarm, hostile_farm
from tests.web.route_walk import Route, mounts_of, routes_of
from web.account_sessions import AccountSessions
from web.app import make_app
from web.guard import guard
from web.settings import BoardSettings
from web.viewer import RIGHTS

#: Routes that anybody may ask: ways in, and addresses that carry a secret of their own.
OPEN = re.compile(r"/enter(/\{secret\})?|/do/.*|/feeds/\{secret\}.*|/sw\.js|/health")
#: Deeds that everybody who is in may do for themselves.
OWN_AFFAIR = re.compile(r"/leave|/feeds?(-page)?(/.*)?")
#: What right it needs depends on what is taken back; `test_undo.py` tries each.
BY_KIND = re.compile(r"/records/\{kind\}/\{uuid\}/undo")
FOLDERS = {"/static", "/static/plots"}
UNKNOWN = "zz-no-such-field"


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Iterator[HostileFarm]:
    with hostile_farm(tmp_path_factory.mktemp("hostile") / "farm") as made:
        yield made


@pytest.fixture(scope="module")
def board(hostile: HostileFarm) -> FastAPI:
    stores = hostile.farm.stores
    keys = AccountSessions(stores.accounts, stores.sessions)
    settings = BoardSettings(accounts=True, names=("board.example.org",))
    desk = desk_of(hostile.farm, lambda: hostile.farm.now)
    return make_app(desk, settings, accounts=stores.accounts, sessions=keys, secure=True)


def someone(hostile: HostileFarm, board: FastAPI, role: str, *growers: str) -> BoardClient:
    stores, now = hostile.farm.stores, hostile.farm.now
    return reader_client(board, stores, role, growers, now)  # type: ignore[arg-type]


def ask(client: BoardClient, route: Route, field_id: str, visit: str = "") -> tuple[int, str, str]:
    """Status, body and headers of an answer, with the form's key where one is wanted."""
    more = {"uuid": visit} if visit else {}
    sent = {} if route.method == "GET" else {"data": {"form_key": client.form_key}}
    answer = client.request(
        route.method, route.address(field_id, **more), follow_redirects=False, **sent
    )
    headers = "\n".join(f"{name}: {value}" for name, value in answer.headers.items())
    return answer.status_code, answer.text, headers


def test_every_route_passes_the_guard(board):
    assert [one.path for one in routes_of(board) if guard not in one.calls] == []
    assert mounts_of(board) == FOLDERS


def test_nobody_gets_anything_but_a_way_in(hostile, board):
    client, own = outsider(board), hostile.ids_of["hallock"][0]
    for route in routes_of(board):
        status, body, headers = ask(client, route, own)
        if not OPEN.fullmatch(route.path):
            way_in = status == 303 and "location: /enter" in headers
            assert way_in or status in (401, 403), (route.method, route.path, status)
        assert hostile.strangers(body + headers, "nobody") == set(), route.path


def test_every_deed_needs_a_right(board):
    """Whoever adds a deed says who may do it."""
    changing = [one for one in routes_of(board) if one.method not in ("GET", "HEAD")]
    assert changing
    unsaid = [
        one.path
        for one in changing
        if not one.deeds
        and not any(rule.fullmatch(one.path) for rule in (OPEN, OWN_AFFAIR, BY_KIND))
    ]
    assert unsaid == []


@pytest.mark.parametrize("role", BOARD_ROLES)
def test_a_deed_that_is_not_theirs_is_refused(hostile, board, role):
    growers = ("hallock",) if role == "grower" else ()
    own = hostile.ids_of["hallock"][0]
    for route in routes_of(board):
        if route.deeds - RIGHTS[role]:
            client = someone(hostile, board, role, *growers)
            status, _, _ = ask(client, route, own)
            assert status == 403, (route.method, route.path, status)


@pytest.mark.parametrize("role", ["dispatcher", "scout", "grower"])
def test_no_route_breaks_whoever_asks_for_whatever(hostile, board, role):
    growers = ("hallock",) if role == "grower" else ()
    strange = (UNKNOWN, "a/b", "..", "\x00") if role == "grower" else ()
    for route in routes_of(board):
        for field_id in (hostile.ids_of["hallock"][1], *strange):
            client = someone(hostile, board, role, *growers)
            status, _, _ = ask(client, route, field_id)
            assert status < 500, (route.method, route.path, field_id, status)


def test_what_is_looked_for_is_there_for_those_who_see_all(hostile, board):
    """So that the tests below cannot pass by looking for what is never written."""
    told = hostile.strangers(someone(hostile, board, "dispatcher").get("/").text, "hallock")
    assert {one[:2] for one in told} == {"zq", "Kq", "Kg"}


@pytest.mark.parametrize("grower", list(BAD_GROWERS))
def test_a_grower_is_told_nothing_of_anothers_fields(hostile, board, grower):
    """0 leaks: bodies, headers, exports, feeds, data of maps and errors."""
    others = [ids[0] for name, ids in hostile.ids_of.items() if name != grower]
    for route in routes_of(board):
        by_field = route.address("a") != route.address("b") or "{uuid}" in route.path
        for field_id in (hostile.ids_of[grower][0], *(others if by_field else ())):
            client = someone(hostile, board, "grower", grower)
            status, body, headers = ask(client, route, field_id, hostile.visit_to(field_id))
            told = hostile.strangers(body + headers, grower)
            assert told == set(), (route.method, route.path, field_id, status)


def test_somebody_elses_field_is_answered_as_one_that_there_is_not(hostile, board):
    for route in routes_of(board):
        if route.address("a") == route.address("b") and "{uuid}" not in route.path:
            continue
        answers = []
        for field_id in (UNKNOWN, hostile.ids_of["aldama"][0]):
            client = someone(hostile, board, "grower", "hallock")
            status, body, _ = ask(client, route, field_id, hostile.visit_to(field_id))
            answers.append((status, body.replace(client.form_key, "")))
        assert answers[0] == answers[1], (route.method, route.path)


class Markup(HTMLParser):
    """Collects what in a page could run."""

    def __init__(self) -> None:
        super().__init__()
        self.running: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, value in attrs:
            linked = (value or "").strip().lower()
            led = name.rpartition(":")[2] in ("href", "src", "action", "formaction", "data")
            if name.startswith("on") or (led and linked.startswith(("javascript:", "data:text"))):
                self.running.append(f"<{tag} {name}={value}>")
        kind = dict(attrs)
        if tag == "script" and "src" not in kind and kind.get("type") != "application/json":
            self.running.append("<script>")
        if tag in ("img", "iframe", "object", "embed", "base"):
            self.running.append(f"<{tag}>")


def test_no_name_becomes_part_of_a_page(hostile, board):
    client = someone(hostile, board, "dispatcher")
    for route in routes_of(board):
        if route.method != "GET":
            continue
        by_field = route.address("a") != route.address("b")
        # Ten names, each of a kind of its own.
        for field_id in list(hostile.farm.fields_by_id)[: 10 if by_field else 1]:
            answer = client.get(route.address(field_id), follow_redirects=False)
            assert re.search(r"\b49 Kq", answer.text) is None
            if "text/html" in answer.headers.get("content-type", ""):
                page = Markup()
                page.feed(answer.text)
                assert page.running == [], (route.path, field_id)


def test_no_cell_of_an_export_is_a_formula(hostile, board):
    client = someone(hostile, board, "dispatcher")
    looked = 0
    for route in routes_of(board):
        if route.method != "GET" or "csv" not in route.path:
            continue
        text = client.get(route.address(hostile.ids_of["hallock"][0])).text
        assert re.findall(r'(?:^|,|\n)"?[=@][A-Za-z0-9]', text) == [], route.path
        looked += 1
    assert looked or not any("csv" in one.path for one in routes_of(board))
