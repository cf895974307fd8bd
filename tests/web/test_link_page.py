"""Links of mails on the board: opening changes nothing, pressing does it once, one click ends."""

import re
from dataclasses import replace
from datetime import timedelta

import pytest
from fastapi import FastAPI

from farm.consent import address_key
from notify.links import Link, LinkKeys
from scheduler.board.desk import desk_of
from scheduler.opening import OpenFarm
from tests.web.board_client import BoardClient, SetClock, outsider
from tests.web.linked_farm import KEY, linked, token
from web.app import make_app
from web.link_page import BAD
from web.settings import BoardSettings

FIELD = "creek-bottom"


@pytest.fixture
def keyed(farm: OpenFarm) -> OpenFarm:
    """The demo's farm with links."""
    return linked(farm)


@pytest.fixture
def app(keyed: OpenFarm, clock: SetClock, settings: BoardSettings) -> FastAPI:
    """A board whose farm signs links."""
    return make_app(desk_of(keyed, clock), settings, accounts=keyed.stores.accounts, secure=True)


@pytest.fixture
def mail(app: FastAPI) -> BoardClient:
    """The browser of somebody who got a mail and never logged in."""
    return outsider(app)


def sprays(farm: OpenFarm) -> int:
    taken_back = farm.stores.retractions.taken_back(farm.now + timedelta(days=9))
    return len(farm.stores.sprays.of_field(FIELD, taken_back))


def heading(answer) -> str:
    return re.search(r"<h1>(.*?)</h1>", answer.text)[1]


def test_sprayed_asks_does_it_once_and_is_taken_back_for_a_day(keyed, mail, clock):
    address = f"/do/sprayed/{token('sprayed', 'dell', FIELD, keyed)}"
    asked = mail.get(address)
    assert (asked.status_code, heading(asked)) == (200, "Creek Bottom was sprayed?")
    assert sprays(keyed) == 0

    pressed = [mail.post(address) for _ in range(2)]
    assert [one.status_code for one in pressed] == [200, 200]
    assert "Written down: sprayed Tue 6 Oct, 06:10." in pressed[0].text
    assert "It is written down already" in pressed[1].text
    assert sprays(keyed) == 1

    undo = re.search(r'action="(/do/undo/[^"]+)"', pressed[1].text)[1]
    clock.passes(timedelta(hours=23))
    assert heading(mail.get(undo)) == "Creek Bottom was not sprayed?"
    assert sprays(keyed) == 1
    assert "Taken back" in mail.post(undo).text
    assert "Taken back" in mail.post(undo).text
    assert sprays(keyed) == 0

    assert "Written down" in mail.post(address).text
    assert sprays(keyed) == 1


def test_an_undo_is_no_longer_taken_after_a_day(keyed, mail, clock):
    pressed = mail.post(f"/do/sprayed/{token('sprayed', 'dell', FIELD, keyed)}")
    undo = re.search(r'action="(/do/undo/[^"]+)"', pressed.text)[1]
    clock.passes(timedelta(hours=24, minutes=2))

    assert mail.get(undo).status_code == mail.post(undo).status_code == 410
    assert sprays(keyed) == 1


@pytest.mark.parametrize("way", ["urlencoded", "multipart", "nothing"])
def test_one_click_ends_the_mails_without_a_cookie_a_key_or_a_way_on(keyed, mail, way):
    """RFC 8058, section 3: a POST with the one field, in either form; it is not redirected."""
    key = address_key("mail", "june@example.org")
    link = Link("unsubscribe", "june", address_key=key)
    address = f"/do/unsubscribe/{LinkKeys.from_text(KEY).sign(link)}"
    told = {"List-Unsubscribe": "One-Click"}
    sent = {
        "urlencoded": {"data": told},
        "multipart": {"files": {name: (None, word) for name, word in told.items()}},
        "nothing": {},
    }[way]
    assert mail.get(address).status_code == 200
    assert keyed.stores.consents.standing("mail", "june@example.org") is None

    answer = mail.post(address, follow_redirects=False, **sent)
    assert (answer.status_code, heading(answer)) == (200, "Mails ended")
    assert "set-cookie" not in answer.headers
    assert keyed.stores.consents.standing("mail", "june@example.org").word == "stop"


def test_one_click_works_from_anywhere_and_brings_no_headers_of_this_site(keyed, mail):
    key = address_key("mail", "june@example.org")
    signed = LinkKeys.from_text(KEY).sign(Link("unsubscribe", "june", address_key=key))
    foreign = {"origin": "https://mail.example.net", "sec-fetch-site": "cross-site"}

    assert mail.post(f"/do/unsubscribe/{signed}", headers=foreign).status_code == 200
    assert keyed.stores.consents.standing("mail", "june@example.org").word == "stop"


def test_a_growers_link_does_nothing_to_anothers_field(keyed, mail):
    answers = [
        mail.post(f"/do/sprayed/{token('sprayed', 'june', field_id, keyed)}")
        for field_id in ("no-such-field", "dugout")
    ]
    assert keyed.fields_by_id["dugout"].grower_id != "hallock"
    assert [one.status_code for one in answers] == [404, 404]
    assert "Dugout" not in answers[1].text
    assert keyed.stores.sprays.of_field("dugout") == ()


@pytest.mark.parametrize("purpose", ["look", "Sprayed", "report"])
def test_what_is_no_purpose_of_ours_is_not_found(keyed, mail, purpose):
    signed = token("sprayed", "dell", FIELD, keyed)
    assert mail.get(f"/do/{purpose}/{signed}").status_code == 404
    assert mail.post(f"/do/{purpose}/{signed}").status_code == 404


def test_who_tries_links_is_slowed_down_and_a_link_that_holds_still_works(keyed, mail, clock):
    """Fault list, section 5, ASVS 2.4.1: limits by address, and nobody is locked out."""
    tried = [mail.get(f"/do/sprayed/guess-{n}").status_code for n in range(BAD + 3)]
    assert tried == [404] * BAD + [429] * 3
    held = token("look-again", "ivy", FIELD, keyed)
    assert mail.get(f"/do/look-again/{held}").status_code == 200

    clock.passes(timedelta(minutes=16))
    assert mail.get("/do/sprayed/guess").status_code == 404


def test_a_link_is_not_kept_by_browsers_nor_told_to_other_sites(keyed, mail):
    answer = mail.get(f"/do/sprayed/{token('sprayed', 'dell', FIELD, keyed)}")
    assert answer.headers["cache-control"] == "no-store"
    assert answer.headers["referrer-policy"] == "no-referrer"


def test_without_a_key_there_are_no_links(farm, clock, settings):
    bare = replace(farm.config, secrets=farm.config.secrets.model_copy(update={"link_key": None}))
    app = make_app(desk_of(replace(farm, config=bare), clock), settings)
    assert outsider(app).get("/do/sprayed/x").status_code == 404
