"""The one HTTP client: polite, bounded in time and size, plain about what went wrong."""

import random
import time
from collections.abc import Callable
from urllib.parse import urljoin, urlsplit

import requests
from urllib3.exceptions import HTTPError, ReadTimeoutError

from forecasts.errors import ForecastError
from forecasts.http_answer import NO_ANSWER, accept
from forecasts.settings import ForecastSettings
from forecasts.transport import Answer

#: Longest one answer may take with all its tries and waits [s].
ANSWER_BUDGET_S = 120.0

#: First and longest wait between tries, before chance shortens it [s].
BACKOFF_S, BACKOFF_MAX_S = 1.0, 20.0

#: Largest answer read, unpacked [bytes]; a whole one is about 0.25 MB.
MOST_BYTES = 5_000_000

#: Slowest pace a busy service can push us to [s between requests].
SLOWEST_SPACING_S = 10.0

#: Answers missed in a row after which each further one gets a single try: the service is down,
#: and the morning's time is better spent on asking every cell once.
MISSES_BEFORE_SINGLE_TRIES = 3

#: Redirects followed for one answer; the service uses one, to shorten coordinates.
MOST_REDIRECTS = 3

_REDIRECTS = {301, 302, 303, 307, 308}

#: Every way a connection can fail: before the answer (requests) and within it (urllib3).
_LOST = (OSError, HTTPError)


class WeatherClient:
    """Asks one weather service, one request at a time.

    Parameters
    ----------
    settings
        Address, contact, timeouts, tries and pace.
    version
        Our version, for the User-Agent.
    sleep, monotonic, chance
        Waiting, the clock that waits are measured by, and a random number from 0 to 1.
    """

    def __init__(
        self,
        settings: ForecastSettings,
        version: str,
        *,
        sleep: Callable[[float], None] = time.sleep,
        monotonic: Callable[[], float] = time.monotonic,
        chance: Callable[[], float] = random.random,
    ) -> None:
        self._settings = settings
        self._sleep, self._monotonic, self._chance = sleep, monotonic, chance
        self._session = requests.Session()
        self._session.headers.update(
            {
                "User-Agent": f"warmspell/{version} ({_one_line(settings.contact or '')})",
                "Accept": "application/geo+json",
            }
        )
        self._least_spacing_s = 1 / settings.requests_per_second
        self._spacing_s = self._least_spacing_s
        self._next_turn = self._monotonic()
        self.begin(settings.total_deadline_s)

    def begin(self, total_deadline_s: float) -> None:
        """Start a morning that may take this long in all [s]."""
        self._ends = self._monotonic() + total_deadline_s
        self._refusal: ForecastError | None = None
        self._misses = 0
        self.requests = 0

    def out_of_time(self) -> bool:
        """True when the morning's time is used up."""
        return self._monotonic() >= self._ends

    def get(self, path: str, if_modified_since: str | None = None) -> Answer:
        """The answer at a path.

        Tries again on lost connections, timeouts, answers that are no forecast and the statuses
        500, 502, 503, 504 and 429, waiting longer each time or as long as the service asks.

        Raises
        ------
        ForecastError
            No usable answer within the tries and the time allowed.
        """
        if self._refusal is not None:
            raise self._refusal
        ends = min(self._ends, self._monotonic() + ANSWER_BUDGET_S)
        tries = self._settings.tries if self._misses < MISSES_BEFORE_SINGLE_TRIES else 1
        for attempt in range(1, tries + 1):
            try:
                answer = self._follow(path, if_modified_since, ends)
            except ForecastError as error:
                self._give_up_or_wait(error, attempt, tries, ends)
            else:
                self._misses = 0
                self._spacing_s = max(self._least_spacing_s, self._spacing_s * 0.8)
                return answer
        raise AssertionError("the last try either answers or raises")

    def _give_up_or_wait(self, error: ForecastError, attempt: int, tries: int, ends: float) -> None:
        if not error.recoverable:
            self._misses = 0
            raise error
        wait_s = error.retry_after_s
        if wait_s is None:
            wait_s = self._chance() * min(BACKOFF_MAX_S, BACKOFF_S * 2 ** (attempt - 1))
        if attempt == tries or self._monotonic() + wait_s >= ends:
            self._misses += 1
            raise error
        self._sleep(wait_s)

    def _follow(self, path: str, since: str | None, ends: float) -> Answer:
        """One try, redirects included."""
        url = self._settings.address.rstrip("/") + path
        for _ in range(MOST_REDIRECTS + 1):
            self._wait_for_turn(ends)
            self.requests += 1
            until = min(ends, self._monotonic() + self._settings.answer_deadline_s)
            try:
                with self._send(url, since, until) as response:
                    if response.status_code not in _REDIRECTS:
                        return self._take(response, since, until)
                    url = _same_host(url, response.headers.get("Location", ""))
            except _LOST as lost:
                raise _connection_error(lost) from lost
        raise ForecastError(f"{NO_ANSWER} (it redirects in a circle)", False)

    def _send(self, url: str, since: str | None, until: float) -> requests.Response:
        left_s = max(0.05, until - self._monotonic())
        return self._session.get(
            url,
            headers={"If-Modified-Since": since} if since else {},
            timeout=(
                min(self._settings.connect_timeout_s, left_s),
                min(self._settings.read_timeout_s, left_s),
            ),
            allow_redirects=False,
            stream=True,
        )

    def _take(self, response: requests.Response, since: str | None, until: float) -> Answer:
        if response.status_code == 304 and since:
            return Answer(None, since)
        body = self._body(response, until)
        try:
            return accept(
                response.status_code, response.headers, body, self._settings.retry_after_max_s
            )
        except ForecastError as error:
            self._mind(response.status_code, error)
            raise

    def _body(self, response: requests.Response, until: float) -> bytes:
        """The body, read as it comes, so that neither a drip nor a flood holds the morning."""
        body = bytearray()
        while piece := response.raw.read1(65536, decode_content=True):
            body += piece
            if len(body) > MOST_BYTES:
                raise ForecastError(f"{NO_ANSWER} (it is larger than 5 MB)", False)
            if self._monotonic() >= until:
                raise ForecastError(f"{NO_ANSWER} (it came too slowly)", True)
        return bytes(body)

    def _mind(self, status: int, error: ForecastError) -> None:
        """Slow down for every later request, or stop asking, when the service says so."""
        if status == 403:
            self._refusal = error
        if status == 429:
            self._spacing_s = min(SLOWEST_SPACING_S, self._spacing_s * 2)
            pause_s = error.retry_after_s or self._spacing_s
            self._next_turn = max(self._next_turn, self._monotonic() + pause_s)

    def _wait_for_turn(self, ends: float) -> None:
        now = self._monotonic()
        wait_s = self._next_turn - now
        if now + max(wait_s, 0) >= ends:
            raise ForecastError("no time was left to ask the weather service", True)
        if wait_s > 0:
            self._sleep(wait_s)
        self._next_turn = max(now, self._next_turn) + self._spacing_s


def _same_host(url: str, location: str) -> str:
    """Where a redirect leads, if it stays with the service."""
    target = urljoin(url, location)
    here, there = urlsplit(url), urlsplit(target)
    if not location or (here.scheme, here.netloc) != (there.scheme, there.netloc):
        raise ForecastError(
            "the weather service's address redirects to another one, "
            f"{there.netloc[:60]!r}, which is not followed; check [forecast] address",
            False,
        )
    return target


def _connection_error(lost: Exception) -> ForecastError:
    if isinstance(lost, requests.exceptions.SSLError):
        return ForecastError(
            "the weather service's certificate is not trusted, so nothing was asked; "
            "check this computer's date and certificates",
            False,
        )
    if isinstance(lost, ValueError):
        return ForecastError(
            f"the weather service cannot be asked ({_one_line(str(lost))}); "
            "check [forecast] address and contact",
            False,
        )
    if isinstance(lost, requests.Timeout | ReadTimeoutError):
        return ForecastError(f"{NO_ANSWER} (it took too long)", True)
    if isinstance(lost, requests.ConnectionError):
        return ForecastError(f"{NO_ANSWER} (no connection)", True)
    return ForecastError(f"{NO_ANSWER} (it was cut off)", True)


def _one_line(text: str) -> str:
    """Text fit for a header or a one-line message."""
    return " ".join(text.split())[:120].encode("ascii", "replace").decode()
