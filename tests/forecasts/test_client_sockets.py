"""The client against a real socket that misbehaves, on this machine only."""

import gzip
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest

from forecasts.client import WeatherClient
from forecasts.errors import ForecastError
from forecasts.settings import ForecastSettings
from tests.forecasts.answers import as_bytes, gridpoint

GOOD = as_bytes(gridpoint())
HEAD = b"HTTP/1.1 200 OK\r\nContent-Type: application/geo+json\r\nConnection: close\r\n"


@contextmanager
def serving(answer: Callable[[socket.socket], None]) -> Iterator[str]:
    """A server that reads a request's head and lets ``answer`` do as it likes."""
    listener = socket.create_server(("127.0.0.1", 0))

    def serve() -> None:
        while True:
            try:
                connection, _ = listener.accept()
            except OSError:
                return
            with connection:
                try:
                    connection.recv(65536)
                    answer(connection)
                except OSError:
                    pass

    thread = threading.Thread(target=serve, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{listener.getsockname()[1]}"
    finally:
        listener.shutdown(socket.SHUT_RDWR)
        listener.close()
        thread.join(timeout=5)


def make_client(address: str, **settings) -> WeatherClient:
    told = {"answer_deadline_s": 0.5, "read_timeout_s": 0.4, "tries": 1} | settings
    return WeatherClient(ForecastSettings(contact="x@y.example", address=address, **told), "1")


def test_an_answer_that_drips_is_cut_at_its_deadline():
    def drip(connection: socket.socket) -> None:
        connection.sendall(HEAD + b"Content-Length: 9999\r\n\r\n")
        for _ in range(40):
            connection.sendall(b" ")
            time.sleep(0.1)

    with serving(drip) as address:
        began = time.monotonic()
        with pytest.raises(ForecastError, match="too slowly"):
            make_client(address).get("/x")
        assert time.monotonic() - began < 1.5


def test_an_answer_that_stalls_is_left():
    def stall(connection: socket.socket) -> None:
        connection.sendall(HEAD + b"Content-Length: 10\r\n\r\n{")
        time.sleep(1)

    with serving(stall) as address, pytest.raises(ForecastError, match="too long"):
        make_client(address).get("/x")


def test_an_answer_cut_off_before_its_told_length_is_a_failure():
    def cut(connection: socket.socket) -> None:
        connection.sendall(HEAD + b"Content-Length: 5000000\r\n\r\n" + GOOD)

    with serving(cut) as address, pytest.raises(ForecastError, match="cut off") as caught:
        make_client(address).get("/x")
    assert caught.value.recoverable


def test_an_answer_cut_off_without_a_told_length_is_a_failure():
    def cut(connection: socket.socket) -> None:
        connection.sendall(HEAD + b"\r\n" + GOOD[:-100])

    with serving(cut) as address, pytest.raises(ForecastError, match="cut off") as caught:
        make_client(address).get("/x")
    assert caught.value.recoverable


def test_a_small_answer_that_unpacks_without_end_is_cut():
    bomb = gzip.compress(b" " * 20_000_000)

    def send(connection: socket.socket) -> None:
        length = f"Content-Length: {len(bomb)}\r\n\r\n".encode()
        connection.sendall(HEAD + b"Content-Encoding: gzip\r\n" + length + bomb)

    with serving(send) as address, pytest.raises(ForecastError, match="larger than 5 MB"):
        make_client(address, answer_deadline_s=5).get("/x")


def test_a_packed_answer_in_pieces_is_put_together():
    packed = gzip.compress(GOOD)

    def send(connection: socket.socket) -> None:
        connection.sendall(HEAD + b"Content-Encoding: gzip\r\nTransfer-Encoding: chunked\r\n\r\n")
        for piece in (packed[:100], packed[100:]):
            connection.sendall(f"{len(piece):x}\r\n".encode() + piece + b"\r\n")
        connection.sendall(b"0\r\n\r\n")

    with serving(send) as address:
        assert make_client(address).get("/x").body == GOOD


def test_nobody_there_is_no_connection():
    with socket.create_server(("127.0.0.1", 0)) as listener:
        address = f"http://127.0.0.1:{listener.getsockname()[1]}"

    with pytest.raises(ForecastError, match="no connection") as caught:
        make_client(address).get("/x")
    assert caught.value.recoverable


def test_an_address_that_is_none_names_its_setting():
    with pytest.raises(ForecastError, match=r"check \[forecast\] address") as caught:
        make_client("weather").get("/x")
    assert not caught.value.recoverable
