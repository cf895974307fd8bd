"""Whoever only opens things changes nothing: pages, their links, and the links of mails.

ASVS 5.0, 3.5.3, and what guards of mail programs do: each address is asked twice by GET, and the
whole database is compared, but for when sessions were last seen.
"""

import hashlib
import re
import shutil
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from urllib.parse import urljoin, urlsplit

import pytest

from notify.digest import write_digests
from scheduler.board.desk import desk_of
from scheduler.link_maker import link_maker
from scheduler.opening import OpenFarm, open_farm
from tests.web.board_client import ADDRESS, BoardClient, outsider, reader_client
from tests.web.linked_farm import linked
from tests.web.quick_plans import quick
from tests.web.route_walk import routes_of
from web.account_sessions import AccountSessions
from web.app import make_app
from web.settings import BoardSettings

LINK = re.compile(r"""(?:href|src|action)=["']([^"']*)["']""")
IN_TEXT = re.compile(r"https://board\.example\.org[^\s]*")


@pytest.fixture(scope="module")
def farm(demo_made_once: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[OpenFarm]:
    """The demo's farm with links, a plan of its rigs, and one feed."""
    folder = Path(shutil.copytree(demo_made_once, tmp_path_factory.mktemp("crawl") / "farm"))
    with open_farm(quick(folder) / "farm.toml") as opened:
        yield linked(opened)


@pytest.fixture(scope="module")
def client(farm: OpenFarm) -> BoardClient:
    """A browser of a dispatcher."""
    desk = desk_of(farm, lambda: farm.now)
    desk.rigs.plan(desk.mornings.latest())
    keys = AccountSessions(farm.stores.accounts, farm.stores.sessions)
    known = BoardSettings(accounts=True, names=("board.example.org",))
    accounts = farm.stores.accounts
    app = make_app(desk, known, accounts=accounts, sessions=keys, secure=True)
    return reader_client(app, farm.stores, "dispatcher", (), farm.now)


def kept(farm: OpenFarm) -> str:
    """A digest of everything kept, but for when sessions were last seen."""
    with farm.stores.database.read() as connection:
        dump = list(connection.connection.driver_connection.iterdump())
    told = [one for one in dump if '"board_sessions"' not in one]
    assert len(told) < len(dump)
    return hashlib.sha256("\n".join(told).encode()).hexdigest()


def links_of(address: str, text: str) -> set[str]:
    """Paths of this board that a page leads to, by a link, a picture, a script or a form."""
    found = set()
    for told in LINK.findall(text):
        whole = urljoin(ADDRESS + address, unescape(told))
        parts = urlsplit(whole)
        if whole.startswith(ADDRESS + "/"):
            found.add(parts.path + (f"?{parts.query}" if parts.query else ""))
    return found


def followed(address: str) -> bool:
    """Whether it is followed: pages of fields are many and alike, so only one field's are."""
    return not address.startswith("/fields/") or address.startswith("/fields/creek-bottom")


def test_every_page_and_every_link_of_it_opened_twice_changes_nothing(farm, client):
    app = client.app
    starts = {one.address("creek-bottom") for one in routes_of(app) if one.method == "GET"}
    before, todo, seen, broken = kept(farm), sorted(starts), set(starts), []
    while todo:
        address = todo.pop()
        answers = [client.get(address, follow_redirects=False) for _ in range(2)]
        assert answers[0].status_code == answers[1].status_code, address
        if answers[0].status_code >= 500:
            broken.append(address)
        if answers[0].headers.get("content-type", "").startswith("text/html"):
            new = {one for one in links_of(address, answers[0].text) if followed(one)} - seen
            todo.extend(sorted(new))
            seen |= new
    assert broken == []
    assert {"/", "/map", "/rigs", "/feed", "/api", "/fields/creek-bottom"} <= seen
    assert len(seen) > 40
    assert kept(farm) == before


def test_every_link_that_a_page_offers_leads_somewhere(client):
    todo, seen, dead = ["/"], {"/"}, []
    while todo:
        address = todo.pop()
        answer = client.get(address)
        if answer.status_code >= 400 and answer.status_code != 405:
            dead.append((address, answer.status_code))
        if answer.headers.get("content-type", "").startswith("text/html"):
            for one in links_of(address, answer.text) - seen:
                seen.add(one)
                if followed(one):
                    todo.append(one)
    assert dead == []


def test_every_link_of_every_mail_opened_twice_changes_nothing(farm, client):
    report = desk_of(farm, lambda: farm.now).mornings.latest()
    people, maker = farm.config.settings.people, link_maker(farm.config)
    digests = write_digests(report, people, "To stop: tell your co-op.", links=maker)
    assert all(one.faults == () for one in digests)
    before, reader = kept(farm), outsider(client.app)
    pressed = 0
    for digest in digests:
        told = {*IN_TEXT.findall(digest.text), *IN_TEXT.findall(unescape(digest.html))}
        addresses = {one.rstrip('">').partition('"')[0] for one in told}
        assert len(addresses) > 5
        for address in sorted(addresses):
            path = urlsplit(address).path
            first, again = (reader.get(path, follow_redirects=False) for _ in range(2))
            assert first.status_code == again.status_code == (200 if "/do/" in path else 303), path
            pressed += "/do/" in path
    assert pressed > 20
    assert kept(farm) == before


def test_a_change_would_be_seen(farm, client):
    before = kept(farm)
    client.send_form("/feed", tells="windows")
    assert kept(farm) != before
