"""One request and its reply over HTTPS, bounded in time and size whatever the other side does."""

import queue
import threading
import time
from collections.abc import Callable, Mapping
from typing import NamedTuple
from urllib.parse import urlsplit

import requests
from urllib3.exceptions import HTTPError, ReadTimeoutError

from forecasts.errors import ForecastError
from forecasts.http_answer import NO_ANSWER
from forecasts.times_told import listener

#: Largest answer read, unpacked [bytes]; a whole one is about 0.25 MB.
MOST_BYTES = 5_000_000

#: Bytes read at a time.
PIECE_BYTES = 65536

#: How long past its time an exchange may end by itself before it is left alone [s].
GRACE_S = 0.25

TOO_SLOW = f"{NO_ANSWER} (it came too slowly)"

#: Every way a connection can fail: before the answer (requests) and within it (urllib3).
_LOST = (OSError, HTTPError)


class Reply(NamedTuple):
    """What came back."""

    status: int
    headers: Mapping[str, str]
    body: bytes


class Exchange:
    """A session that asks and reads, follows no redirect, and always checks certificates.

    Parameters
    ----------
    headers
        Sent with every request.
    connect_timeout_s, read_timeout_s
        Longest wait for a connection, and for the next piece of an answer [s].
    """

    def __init__(
        self, headers: Mapping[str, str], connect_timeout_s: float, read_timeout_s: float
    ) -> None:
        self._timeouts_s = (connect_timeout_s, read_timeout_s)
        self._session = requests.Session()
        self._session.headers.update(headers)

    def get(self, url: str, headers: Mapping[str, str], left_s: float) -> Reply:
        """The reply, whole.

        Parameters
        ----------
        url, headers
            What to ask, and what to send beside the session's own headers.
        left_s
            Longest the exchange may take, all of it [s].

        Raises
        ------
        ForecastError
            There is none within the time, or it is too large; ``recoverable`` where another try
            may help.
        """
        ends = time.monotonic() + left_s
        reply = _bounded(lambda: self._get(url, headers, ends), left_s + GRACE_S)
        if (heard := listener()) is not None:
            heard.of_answer(urlsplit(url).netloc, reply.status, reply.headers)
        return reply

    def _get(self, url: str, headers: Mapping[str, str], ends: float) -> Reply:
        left_s = max(0.05, ends - time.monotonic())
        connect_s, read_s = self._timeouts_s
        try:
            with self._session.get(
                url,
                headers=dict(headers),
                timeout=(min(connect_s, left_s), min(read_s, left_s)),
                allow_redirects=False,
                stream=True,
                verify=True,
            ) as response:
                return Reply(response.status_code, response.headers, _body(response, ends))
        except _LOST as lost:
            raise connection_error(lost) from lost


def _body(response: requests.Response, ends: float) -> bytes:
    """The body, read as it comes, so that neither a drip nor a flood holds the morning."""
    body = bytearray()
    while piece := response.raw.read1(PIECE_BYTES, decode_content=True):
        body += piece
        if len(body) > MOST_BYTES:
            raise ForecastError(f"{NO_ANSWER} (it is larger than 5 MB)", False)
        if time.monotonic() >= ends:
            raise ForecastError(TOO_SLOW, True)
    return bytes(body)


def _bounded(work: Callable[[], Reply], most_s: float) -> Reply:
    """What ``work`` gives, if it does so in time.

    Timeouts of a socket start anew with every byte, and looking up a name has none. So the work
    is done aside, and left there when its time is over: it ends with its connection, and never
    keeps the program from ending.
    """
    done: queue.SimpleQueue[Reply | BaseException] = queue.SimpleQueue()

    def aside() -> None:
        try:
            done.put(work())
        except BaseException as error:
            done.put(error)

    threading.Thread(target=aside, name="weather answer", daemon=True).start()
    try:
        told = done.get(timeout=most_s)
    except queue.Empty:
        raise ForecastError(TOO_SLOW, True) from None
    if isinstance(told, BaseException):
        raise told
    return told


def connection_error(lost: Exception) -> ForecastError:
    """A lost connection in plain words."""
    if isinstance(lost, requests.exceptions.SSLError):
        return ForecastError(
            "the weather service's certificate is not trusted, so nothing was asked; "
            "check this computer's date and certificates",
            False,
        )
    if isinstance(lost, ValueError):
        return ForecastError(
            f"the weather service cannot be asked ({one_line(str(lost))}); "
            "check [forecast] address and contact",
            False,
        )
    if isinstance(lost, requests.Timeout | ReadTimeoutError):
        return ForecastError(f"{NO_ANSWER} (it took too long)", True)
    if isinstance(lost, requests.ConnectionError):
        return ForecastError(f"{NO_ANSWER} (no connection)", True)
    return ForecastError(f"{NO_ANSWER} (it was cut off)", True)


def one_line(text: str) -> str:
    """Text fit for a header or a one-line message."""
    return " ".join(text.split())[:120].encode("ascii", "replace").decode()
