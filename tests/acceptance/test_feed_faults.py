"""Faults of the wire and the service, F01 to F16, F33 and F34 of the fault list, whole mornings.

Each breaks one cell of three, and must cost only that cell: its field is not known, exit code 3.
"""

import gzip
import socket
import ssl
import time

import pytest
import trustme

from tests.acceptance.feed_farm import GIN, NORTH, SOUTH, FeedFarm, cell_path, feed_farm
from tests.acceptance.weather_service import GEO, good, head, problem, saying

#: Longest a morning with one broken cell may take here [s]: two tries of 0.6 s and the work.
PATIENCE_S = 5.0


def stall(connection: socket.socket, _: bytes) -> None:
    connection.sendall(head(200, GEO, Content_Length=999) + b"{")
    time.sleep(1)


def drip(connection: socket.socket, body: bytes) -> None:
    connection.sendall(head(200, GEO, Content_Length=len(body)))
    for byte in body[:40]:
        connection.sendall(bytes([byte]))
        time.sleep(0.1)


def drip_head(connection: socket.socket, _: bytes) -> None:
    connection.sendall(b"HTTP/1.1 200 OK\r\nX: ")
    for _ in range(40):
        connection.sendall(b"x")
        time.sleep(0.1)


def flood(connection: socket.socket, _: bytes) -> None:
    connection.sendall(head(200, GEO))
    while True:
        connection.sendall(b" " * 65536)


#: A small answer that unpacks to ten times what is ever read.
PACKED = gzip.compress(b" " * 50_000_000, 1)


def bomb(connection: socket.socket, _: bytes) -> None:
    length = len(PACKED)
    connection.sendall(head(200, GEO, Content_Encoding="gzip", Content_Length=length) + PACKED)


def cut_with_length(connection: socket.socket, body: bytes) -> None:
    connection.sendall(head(200, GEO, Content_Length=len(body)) + body[: len(body) // 2])


def cut_without_length(connection: socket.socket, body: bytes) -> None:
    connection.sendall(head(200, GEO) + body[: len(body) // 2])


def cut_yet_whole_json(connection: socket.socket, body: bytes) -> None:
    connection.sendall(head(200, GEO) + body.split(b', "temperature"')[0] + b"}}")


def with_not_a_number(connection: socket.socket, body: bytes) -> None:
    spoilt = body.replace(b'"value": ', b'"value": NaN, "was": ', 40)
    connection.sendall(head(200, GEO, Content_Length=len(spoilt)) + spoilt)


def with_infinity(connection: socket.socket, body: bytes) -> None:
    spoilt = body.replace(b'"value": ', b'"value": 1e400, "was": ')
    connection.sendall(head(200, GEO, Content_Length=len(spoilt)) + spoilt)


def hang_up(connection: socket.socket, _: bytes) -> None:
    connection.close()


LOGIN = b"<html>Sign in to use this network</html>"
BUSY = b'{"error": true, "reason": "Too many callers"}'

#: Faults of one cell, each with words of what its field says.
ONE_CELL = [
    pytest.param(problem("Unexpected Problem", 500), "(500 Unexpected Problem)", id="F02-500"),
    pytest.param(saying(502, b"", "text/html"), "(502)", id="F02-502"),
    pytest.param(problem("Busy", 503, Retry_After="1000000000"), "(503 Busy)", id="F04-far"),
    pytest.param(problem("Busy", 503, Retry_After="soon"), "(503 Busy)", id="F04-garbage"),
    pytest.param(
        problem("Busy", 503, Retry_After="Tue, 06 Oct 2020 10:00:00 GMT"),
        "(503 Busy)",
        id="F04-past",
    ),
    pytest.param(
        problem("Forecast Grid Expired", 503), "office has not renewed its forecast", id="F05"
    ),
    pytest.param(hang_up, "no answer", id="F08-hung-up"),
    pytest.param(stall, "it took too long", id="F09"),
    pytest.param(drip, "it came too slowly", id="F10-body"),
    pytest.param(drip_head, "it came too slowly", id="F10-head"),
    pytest.param(flood, "larger than 5 MB", id="F11-endless"),
    pytest.param(bomb, "larger than 5 MB", id="F11-gzip-bomb"),
    pytest.param(cut_with_length, "cut off", id="F12"),
    pytest.param(cut_without_length, "cut off", id="F13"),
    pytest.param(cut_yet_whole_json, "no temperature", id="F13-whole-json"),
    pytest.param(saying(200, LOGIN, "text/html"), "a page of text/html", id="F14"),
    pytest.param(saying(200, LOGIN), "cut off or garbled", id="F14-as-json"),
    pytest.param(saying(200, BUSY, "application/json"), "Too many callers", id="F15"),
    pytest.param(
        saying(200, b'{"title": "Oops", "status": 500}', "application/problem+json"),
        "a problem Oops",
        id="F15-problem",
    ),
    pytest.param(with_not_a_number, "garbled", id="F16-NaN"),
    pytest.param(with_infinity, "", id="F16-1e400"),
    pytest.param(
        saying(302, b"", "text/html", Location="http://127.0.0.1:1/x"), "redirects", id="F33"
    ),
]


@pytest.mark.parametrize(("fault", "words"), ONE_CELL)
def test_a_broken_answer_costs_only_the_fields_of_its_cell(feed, fault, words):
    feed.service.faults[cell_path(NORTH)] = fault
    began = time.monotonic()
    told = feed.morning()

    assert time.monotonic() - began < PATIENCE_S
    assert told.calls == {GIN: "spray", NORTH: "unknown", SOUTH: "spray"}
    assert told.code == 3
    assert words in told.of(NORTH)["forecast"]["problem"]


def test_f01_a_failure_that_passes_costs_nothing(feed, slept_s):
    feed.service.faults[cell_path(NORTH)] = [problem("Unexpected Problem", 500), good]
    told = feed.morning()

    assert told.code == 0
    assert set(told.calls.values()) == {"spray"}
    assert feed.service.asked.count(cell_path(NORTH)) == 2


def test_f02_a_cell_that_keeps_failing_uses_its_last_good_answer_while_young(feed):
    feed.morning(dry=False)
    feed.service.faults[cell_path(NORTH)] = problem("Unexpected Problem", 500)
    later = feed.morning(at="2026-10-06T08:00")
    evening = feed.morning(at="2026-10-06T16:00")

    assert (later.code, later.calls[NORTH]) == (0, "spray")
    assert "no new forecast since Tue 6 Oct 2:40 am" in later.of(NORTH)["forecast"]["problem"]
    assert (evening.code, evening.calls[NORTH]) == (3, "unknown")


def test_f03_a_wait_that_is_asked_for_is_kept(feed, slept_s):
    feed.service.faults[cell_path(NORTH)] = [problem("Busy", 503, Retry_After="30"), good]
    told = feed.morning()

    assert told.code == 0
    assert 30 in slept_s


@pytest.mark.parametrize("asked", ["1000000000", "Fri, 06 Oct 2090 10:00:00 GMT"])
def test_f04_nobody_makes_us_wait_longer_than_a_minute(feed, slept_s, asked):
    busy = problem("Busy", 503, Retry_After=asked, Date="Tue, 06 Oct 2026 11:00:00 GMT")
    feed.service.faults[cell_path(NORTH)] = busy
    feed.morning()

    assert max(slept_s) == 60


def test_f05_an_expired_grid_is_not_asked_for_again_at_once(feed):
    feed.service.faults[cell_path(NORTH)] = problem("Forecast Grid Expired", 503)
    feed.morning()

    assert feed.service.asked.count(cell_path(NORTH)) == 1


def test_f06_a_complaint_over_one_cell_slows_every_later_one(feed, slept_s):
    feed.service.faults[cell_path(GIN)] = [saying(429, b"slow", "text/html"), good]
    told = feed.morning()

    assert told.code == 0
    # Seven requests at two a second would wait for each other's turns up to 3 s, as nobody sleeps.
    assert max(slept_s) > 3.3


def test_f06_a_service_that_only_complains_leaves_all_unknown(feed):
    feed.service.faults["/"] = saying(429, b"slow", "text/html")
    told = feed.morning()

    assert told.code == 69
    assert set(told.calls.values()) == {"unknown"}


def test_f07_a_refusal_is_a_fault_of_the_config_asked_once_and_told(feed):
    feed.service.faults["/"] = saying(403, b"<html>Forbidden</html>", "text/html")
    told = feed.morning()

    assert told.code == 78
    assert len(feed.service.asked) == 1
    assert "farm.toml: the weather service refuses this caller" in told.err
    assert "set [forecast] contact" in told.err
    assert set(told.calls.values()) == {"unknown"}


def test_f07_a_refusal_still_uses_the_last_good_answers(feed):
    feed.morning(dry=False)
    feed.service.faults["/"] = saying(403, b"<html>Forbidden</html>", "text/html")
    told = feed.morning(at="2026-10-06T08:00")

    assert told.code == 78
    assert set(told.calls.values()) == {"spray"}


def nobody_there(feed: FeedFarm, monkeypatch: pytest.MonkeyPatch) -> None:
    with socket.create_server(("127.0.0.1", 0)) as listener:
        feed.reset_settings(address=f"http://127.0.0.1:{listener.getsockname()[1]}")


def no_such_name(feed: FeedFarm, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object, **__: object) -> None:
        raise socket.gaierror(socket.EAI_NONAME, "no such name")

    monkeypatch.setattr(socket, "getaddrinfo", fail)


def a_name_that_takes_forever(feed: FeedFarm, monkeypatch: pytest.MonkeyPatch) -> None:
    def wait(*_: object, **__: object) -> None:
        time.sleep(3)
        raise socket.gaierror(socket.EAI_AGAIN, "try again")

    monkeypatch.setattr(socket, "getaddrinfo", wait)


@pytest.mark.parametrize("away", [nobody_there, no_such_name])
def test_f08_a_service_that_cannot_be_reached_leaves_the_last_good_by_age(feed, monkeypatch, away):
    feed.morning(dry=False)
    away(feed, monkeypatch)
    soon, evening = feed.morning(at="2026-10-06T08:00"), feed.morning(at="2026-10-06T16:00")

    assert (soon.code, set(soon.calls.values())) == (0, {"spray"})
    assert "no connection" in soon.of(GIN)["forecast"]["problem"]
    assert (evening.code, set(evening.calls.values())) == (3, {"unknown"})


def test_f08_a_look_up_of_the_name_that_hangs_is_left(feed, monkeypatch):
    feed.reset_settings(tries=1)
    a_name_that_takes_forever(feed, monkeypatch)
    began = time.monotonic()
    told = feed.morning()

    assert time.monotonic() - began < PATIENCE_S
    assert told.code == 69


def test_f33_a_feed_that_leads_elsewhere_is_no_feed(feed):
    feed.service.faults["/"] = saying(301, b"", "text/html", Location="http://127.0.0.1:1/x")
    told = feed.morning()

    assert told.code == 69
    assert "redirects to another one" in told.of(GIN)["forecast"]["problem"]


def test_f33_a_redirect_within_the_service_is_followed(feed):
    moved = saying(301, b"", "text/html", Location="/gridpoints/QQX/62,86")
    feed.service.faults = {"/old": good, cell_path(NORTH): [moved, good]}

    assert feed.morning().code == 0


def tls_of(ca: trustme.CA, *names: str) -> ssl.SSLContext:
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    ca.issue_cert(*names).configure_cert(context)
    return context


@pytest.mark.parametrize("trusted", ["nobody", "wrong host", "right"])
def test_f34_only_a_certificate_that_is_trusted_and_for_the_host_is_spoken_to(
    feed_farm_made_once, tmp_path, capsys, slept_s, monkeypatch, trusted
):
    ca = trustme.CA()
    with ca.cert_pem.tempfile() as bundle:
        if trusted != "nobody":
            monkeypatch.setenv("REQUESTS_CA_BUNDLE", bundle)
        name = "elsewhere.example" if trusted == "wrong host" else "127.0.0.1"
        with feed_farm(feed_farm_made_once, tmp_path / "f", capsys, tls_of(ca, name)) as farm:
            told = farm.morning()

    if trusted == "right":
        assert told.code == 0
        return
    assert told.code == 69
    assert farm.service.asked == []
    assert "certificate is not trusted" in told.of(GIN)["forecast"]["problem"]
