"""The board as it really runs: slow readers, strange requests, and what its log says."""

import http.client
import re
import shutil
import socket
import time
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlencode, urlsplit

import pytest

from scheduler.board.accounts import new_account
from scheduler.opening import open_farm
from scripts.running_board import Board, board_of

PASSWORD = "canary four words here"
NAME = "board.example.org"


@pytest.fixture(scope="module")
def shared(demo_made_once: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Board]:
    """A board with accounts, as a process of its own."""
    folder = Path(shutil.copytree(demo_made_once, tmp_path_factory.mktemp("running") / "farm"))
    file = folder / "farm.toml"
    more = f'\n[board]\naccounts = true\nnames = ["{NAME}"]\n'
    file.write_text(file.read_text("utf-8") + more, "utf-8")
    with open_farm(file) as farm:
        farm.stores.accounts.add(new_account(farm, "dana", "dispatcher", (), PASSWORD))
    with board_of(file) as running:
        yield running


def place_of(board: Board) -> tuple[str, int]:
    told = urlsplit(board.address)
    assert told.hostname
    assert told.port
    return told.hostname, told.port


def asked(board: Board, method: str, path: str, body: str = "", **headers: str) -> tuple[int, str]:
    """Status and body; headers are named with low lines."""
    connection = http.client.HTTPConnection(*place_of(board), timeout=30)
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    connection.request(method, path, body or None, {"host": NAME, **named})
    answer = connection.getresponse()
    told = answer.read().decode("utf-8", "replace")
    board_cookie = answer.getheader("set-cookie") or ""
    connection.close()
    return answer.status, board_cookie or told


def raw(board: Board, sent: bytes) -> bytes:
    """The first of what comes back for bytes as they stand."""
    with socket.create_connection(place_of(board), timeout=20) as line:
        line.sendall(sent)
        return line.recv(4_096)


def test_it_says_by_what_name_it_is_reached(shared):
    assert NAME in " ".join(shared.said)
    assert shared.link == ""


def test_slow_readers_keep_nobody_waiting(shared):
    """60 that send half a head, and 20 half a body."""
    half = b"GET / HTTP/1.1\r\nHost: board.example.org\r\nX-Slow: "
    body = (
        b"POST /enter HTTP/1.1\r\nHost: board.example.org\r\nContent-Length: 50\r\n"
        b"Content-Type: application/x-www-form-urlencoded\r\n\r\nname=da"
    )
    slow = [socket.create_connection(place_of(shared), timeout=20) for _ in range(80)]
    try:
        for number, line in enumerate(slow):
            line.sendall(body if number < 20 else half)
        began = time.monotonic()
        status, told = asked(shared, "GET", "/enter")
        assert status == 200
        assert "Log in" in told
        assert time.monotonic() - began < 5
    finally:
        for line in slow:
            line.close()


@pytest.mark.parametrize(
    "sent",
    [
        b"GET / HTTP/1.1\r\nHost: board.example.org\r\nX: " + b"a" * 40_000,
        b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03",
        b"GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n",
        b"POST /enter HTTP/1.1\r\nHost: a\r\nContent-Length: 3\r\nContent-Length: 4\r\n\r\nabcd",
    ],
    ids=["long head", "TLS", "two hosts", "two lengths"],
)
def test_what_is_no_request_is_refused_and_the_board_goes_on(shared, sent):
    assert re.match(rb"HTTP/1\.1 4\d\d", raw(shared, sent))
    assert asked(shared, "GET", "/enter")[0] == 200


def test_no_line_to_stay_open_is_given(shared):
    status, _ = asked(
        shared,
        "GET",
        "/",
        connection="Upgrade",
        upgrade="websocket",
        sec_websocket_version="13",
        sec_websocket_key="x",
    )
    assert status in (303, 400, 401, 404, 426)


def test_its_log_holds_no_password_no_secret_and_no_line_of_a_stranger(shared):
    typed = urlencode({"name": "dana", "password": PASSWORD})
    kind = {"content_type": "application/x-www-form-urlencoded"}
    status, cookie = asked(shared, "POST", "/enter", typed, **kind)
    assert status == 303
    secret = cookie.partition("=")[2].partition(";")[0]
    assert len(secret) > 20
    wrong = urlencode({"name": "da\r\nna\x1b[31m", "password": "canary of a guess"})
    assert asked(shared, "POST", "/enter", wrong, **kind)[0] == 403
    assert asked(shared, "GET", f"/do/sprayed/{secret}%0d%0aFORGED")[0] < 500
    assert asked(shared, "GET", "/", cookie=f"__Host-warmspell={secret}")[0] == 200
    said = "\n".join(shared.said)
    for canary in (PASSWORD, secret, "canary", "FORGED", "\x1b", "Traceback"):
        assert canary not in said
