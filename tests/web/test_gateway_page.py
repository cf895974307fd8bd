"""Gateways on the board: believed with the agreed word alone, in the forms they post."""

import base64
from datetime import timedelta

import pytest
from fastapi import FastAPI

from scheduler.board.desk import desk_of
from scheduler.opening import OpenFarm
from tests.web.board_client import BoardClient, SetClock, outsider
from tests.web.linked_farm import WORD, linked
from web.app import make_app
from web.gateway_page import LARGEST_BYTES, WRONG
from web.settings import BoardSettings

PHONE = "+12025550163"
BEARER = {"authorization": f"Bearer {WORD}"}
BASIC = {"authorization": "Basic " + base64.b64encode(f"any:{WORD}".encode()).decode()}
STOP = {"from": PHONE, "text": "stop", "id": "m-1"}


@pytest.fixture
def app(farm: OpenFarm, clock: SetClock, settings: BoardSettings) -> FastAPI:
    """A board whose farm has a gateway."""
    return make_app(desk_of(linked(farm), clock), settings, secure=True)


@pytest.fixture
def gateway(app: FastAPI) -> BoardClient:
    """The gateway, which never logs in."""
    return outsider(app)


def word_of(farm: OpenFarm) -> str:
    said = farm.stores.consents.standing("sms", PHONE)
    return said.word if said else ""


@pytest.mark.parametrize("head", [BEARER, BASIC], ids=["bearer", "basic"])
@pytest.mark.parametrize("form", ["json", "data", "files"])
def test_a_stop_by_text_holds_at_once(farm, gateway, head, form):
    sent = {one: (None, told) for one, told in STOP.items()} if form == "files" else STOP
    answer = gateway.post("/do/answer", headers=head, **{form: sent})

    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith("text/plain")
    assert answer.text == (
        "Kettle Draw Co-op: you get no more texts from us. Reply START to get them again."
    )
    assert word_of(farm) == "stop"


@pytest.mark.parametrize(
    "head",
    [
        {},
        {"authorization": "Bearer wrong"},
        {"authorization": f"Bearer {WORD}x"},
        {"authorization": WORD},
        {"authorization": "Basic !!"},
        {"authorization": "Basic " + base64.b64encode(WORD.encode()).decode()},
        {"authorization": "Bearer "},
    ],
)
def test_without_the_agreed_word_nothing_is_believed(farm, gateway, head):
    for path in ("/do/answer", "/do/report"):
        answer = gateway.post(path, headers=head, json=STOP | {"status": "delivered"})
        assert (answer.status_code, answer.text) == (403, "")
    assert word_of(farm) == ""
    assert farm.stores.delivery_reports.of_message("sms", "m-1") is None


def test_a_report_is_kept_once_and_one_that_says_lost_is_told_to_the_operator(farm, gateway):
    told = {"id": "m-7", "status": "undelivered"}
    answers = [gateway.post("/do/report", headers=BEARER, json=told) for _ in range(2)]

    assert [one.status_code for one in answers] == [200, 200]
    assert farm.stores.delivery_reports.of_message("sms", "m-7").state == "undelivered"
    with farm.stores.database.read() as connection:
        rows = connection.exec_driver_sql("SELECT person_id, channel, kind FROM deliveries").all()
    assert [tuple(row) for row in rows] == [("dell", "sms", "alarm-texts-sms")]


@pytest.mark.parametrize(
    ("body", "kind"),
    [
        ("[1, 2]", "application/json"),
        ("{", "application/json"),
        ("[" * 5_000, "application/json"),
        ("\xff\xfe", "application/json"),
        ("x", "multipart/form-data; boundary=b"),
        ("", "text/plain"),
    ],
)
def test_what_no_gateway_sends_is_refused_calmly(gateway, body, kind):
    head = BEARER | {"content-type": kind}
    answer = gateway.post("/do/answer", headers=head, content=body.encode("latin-1"))
    assert answer.status_code in (400, 411, 422)


def test_a_request_that_is_too_large_is_refused_before_it_is_read(gateway):
    answer = gateway.post("/do/answer", headers=BEARER, json={"text": "x" * LARGEST_BYTES})
    assert answer.status_code == 413


def test_guessing_the_word_ends_soon_and_right_requests_never_count(farm, gateway, clock):
    for n in range(WRONG + 5):
        assert gateway.post(
            "/do/report", headers=BEARER, json={"id": n + 1, "status": "sent"}
        ).is_success
    wrong = {"authorization": "Bearer guess"}
    tried = [gateway.post("/do/answer", headers=wrong, json=STOP).status_code for _ in range(25)]
    assert tried == [403] * WRONG + [429] * 5
    assert gateway.post("/do/answer", headers=BEARER, json=STOP).status_code == 429

    clock.passes(timedelta(minutes=16))
    assert gateway.post("/do/answer", headers=BEARER, json=STOP).status_code == 200
    assert word_of(farm) == "stop"


def test_a_farm_without_a_gateway_has_nobody_to_listen_to(farm, clock, settings):
    bare = outsider(make_app(desk_of(farm, clock), settings))
    assert bare.post("/do/answer", headers=BEARER, json=STOP).status_code == 404
