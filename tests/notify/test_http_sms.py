"""The text message gateway: what it is asked, and which answers count as accepted."""

import json
from typing import Any
from urllib.parse import parse_qs

import pytest
import requests
import responses
from pydantic import SecretStr

from notify.channel import DeliveryError, OutgoingMessage
from notify.http_sms import HttpSmsChannel
from notify.settings import SmsSettings

URL = "https://texts.example.com/v1/messages"
TEXT = 'Tue 6 Oct: {secret} "quoted", spray 1 & walk 2'
MESSAGE = OutgoingMessage("+15550123", "Tue 6 Oct", "<2026-10-06.morning.r0.ab@x>", TEXT.encode())


def gateway(**more: Any) -> HttpSmsChannel:
    told = {
        "url": URL,
        "headers": {"Authorization": "Bearer {secret}"},
        "body": {"to": "{to}", "text": "{text}", "from": "{sender}", "ref": "{reference}"},
        "sender": "Sandhill",
        **more,
    }
    return HttpSmsChannel(SmsSettings(**told), SecretStr("hush-hush"))


def answer(**told: Any) -> None:
    responses.add(responses.POST, URL, **told)


def refused() -> DeliveryError:
    with pytest.raises(DeliveryError) as told:
        gateway().send(MESSAGE)
    shown = str(told.value)
    assert "5550123" not in shown
    assert "hush-hush" not in shown
    return told.value


@responses.activate
def test_a_json_gateway_gets_every_value_and_its_id_is_kept() -> None:
    answer(json={"messages": [{"id": "m-7"}]}, status=201)

    assert gateway(id_path="messages.0.id").send(MESSAGE).provider_id == "m-7"
    asked = responses.calls[0].request
    assert json.loads(asked.body or "") == {
        "to": "+15550123",
        "text": TEXT,
        "from": "Sandhill",
        "ref": MESSAGE.message_id,
    }
    assert asked.headers["Authorization"] == b"Bearer hush-hush"


@responses.activate
def test_a_form_gateway_gets_a_form() -> None:
    answer(json={"id": 12})

    assert gateway(body_format="form").send(MESSAGE).provider_id == "12"
    asked = responses.calls[0].request
    assert parse_qs(str(asked.body))["text"] == [TEXT]


@pytest.mark.fault("T03")
@pytest.mark.parametrize(
    ("told", "what"),
    [
        ({"json": {"error": "no credit for +1 555 0123"}}, "without an id"),
        ({"body": "OK"}, "without an id"),
        ({"json": {"id": None}}, "without an id"),
        ({"json": {"id": ""}}, "without an id"),
    ],
)
@responses.activate
def test_200_without_an_id_is_not_accepted_and_not_repeated(told: Any, what: str) -> None:
    answer(status=200, **told)
    error = refused()

    assert what in str(error)
    assert "may have been sent" in str(error)
    assert (error.permanent, error.in_doubt) == (True, True)


@pytest.mark.fault("T02", "T11")
@pytest.mark.parametrize(
    ("status", "permanent", "stops"),
    [
        (400, True, False),
        (404, True, False),
        (401, True, True),
        (402, True, True),
        (429, False, True),
        (500, False, False),
        (503, False, False),
        (302, True, False),
    ],
)
@responses.activate
def test_answers_are_final_or_not(status: int, permanent: bool, stops: bool) -> None:
    answer(status=status, body="number 15550123 refused, key hush-hush")
    error = refused()

    assert (error.permanent, error.stops_channel) == (permanent, stops)
    assert f"answered {status}" in str(error)
    assert "refused" in str(error)
    assert not error.in_doubt


@responses.activate
def test_a_number_is_never_carried_on_to_where_a_redirect_points() -> None:
    answer(status=307, headers={"Location": "https://elsewhere.example.net/"})
    responses.add(responses.POST, "https://elsewhere.example.net/", json={"id": "1"})

    assert "answered 307" in str(refused())
    assert len(responses.calls) == 1


@pytest.mark.fault("T05")
@responses.activate
def test_a_timeout_after_the_request_may_have_sent_it() -> None:
    answer(body=requests.ReadTimeout("to=+15550123"))
    error = refused()

    assert "may have been sent" in str(error)
    assert (error.permanent, error.in_doubt) == (False, True)


@responses.activate
def test_no_connection_at_all_has_sent_nothing() -> None:
    answer(body=requests.ConnectTimeout("to=+15550123"))
    error = refused()

    assert (error.permanent, error.in_doubt, error.stops_channel) == (False, False, True)


def test_a_closed_port_on_this_machine_has_sent_nothing() -> None:
    with pytest.raises(DeliveryError) as told:
        gateway(url="http://127.0.0.1:9/", timeout_s=2).send(MESSAGE)

    assert not told.value.in_doubt
    assert not told.value.permanent


@pytest.mark.fault("T01")
@pytest.mark.parametrize(
    ("headers", "wait_s"),
    [
        ({"Retry-After": "90"}, 90.0),
        (
            {
                "Date": "Tue, 06 Oct 2026 11:00:00 GMT",
                "Retry-After": "Tue, 06 Oct 2026 11:02:30 GMT",
            },
            150.0,
        ),
        (
            {
                "Date": "Tue, 06 Oct 2026 11:00:00 GMT",
                "Retry-After": "Tue, 06 Oct 2026 10:00:00 GMT",
            },
            0.0,
        ),
        ({"Retry-After": "Tue, 06 Oct 2026 11:02:30 GMT"}, None),
        ({"Retry-After": "soon"}, None),
        ({"Retry-After": "-5"}, None),
        ({}, None),
    ],
)
@responses.activate
def test_a_gateway_that_asks_to_wait_is_waited_for(
    headers: dict[str, str], wait_s: float | None
) -> None:
    """RFC 9110, section 10.2.3: seconds, or a moment."""
    answer(status=429, headers=headers)
    error = refused()

    assert (error.retry_after_s, error.permanent, error.stops_channel) == (wait_s, False, True)
