"""The one HTTP client: polite, bounded in time and size, plain about what went wrong."""

import random
import time
from collections.abc import Callable
from urllib.parse import urljoin, urlsplit

from forecasts.errors import ForecastError
from forecasts.exchange import Exchange, Reply, one_line
from forecasts.http_answer import NO_ANSWER, accept
from forecasts.pacing import Paces
from forecasts.settings import ForecastSettings
from forecasts.transport import Answer

#: Longest one answer may take with all its tries and waits [s].
ANSWER_BUDGET_S = 120.0

#: First and longest wait between tries, before chance shortens it [s].
BACKOFF_S, BACKOFF_MAX_S = 1.0, 20.0

#: Answers missed in a row after which each further one gets a single try: the service is down,
#: and the morning's time is better spent on asking every cell once.
MISSES_BEFORE_SINGLE_TRIES = 3

#: Redirects followed for one answer; the service uses one, to shorten coordinates.
MOST_REDIRECTS = 3

_REDIRECTS = {301, 302, 303, 307, 308}

#: What forecasts are asked for as. Without it the US service has sent answers days old
#: (weather-gov/api issue 112).
GEO_JSON = "application/geo+json"


class WeatherClient:
    """Asks one weather service, one request at a time.

    Parameters
    ----------
    settings
        Address, contact, timeouts, tries and pace.
    version
        Our version, for the User-Agent.
    address
        Where this service is, if not at the address of the settings.
    media
        What an answer is asked for as.
    paces
        The pace of each host, shared with other clients that may ask the same one.
    sleep, monotonic, chance
        Waiting, the clock that waits are measured by, and a random number from 0 to 1.
    """

    def __init__(
        self,
        settings: ForecastSettings,
        version: str,
        *,
        address: str | None = None,
        media: str = GEO_JSON,
        paces: Paces | None = None,
        sleep: Callable[[float], None] = time.sleep,
        monotonic: Callable[[], float] = time.monotonic,
        chance: Callable[[], float] = random.random,
    ) -> None:
        self._settings = settings
        self._address = (address or settings.address).rstrip("/")
        self._sleep, self._monotonic, self._chance = sleep, monotonic, chance
        self._exchange = Exchange(
            {
                "User-Agent": f"warmspell/{version} ({one_line(settings.contact or '')})",
                "Accept": media,
            },
            settings.connect_timeout_s,
            settings.read_timeout_s,
        )
        host = urlsplit(self._address).netloc
        self._pace = (paces or Paces(monotonic)).of(host, settings.requests_per_second)
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

        Parameters
        ----------
        path
            What follows the service's address, a query included.
        if_modified_since
            The ``last_modified`` of the answer that is known already.

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
                self._pace.ease()
                return answer
        raise AssertionError("the last try either answers or raises")

    def _give_up_or_wait(self, error: ForecastError, attempt: int, tries: int, ends: float) -> None:
        wait_s = error.retry_after_s
        if not error.recoverable or (wait_s or 0) > ANSWER_BUDGET_S:
            # The service is up and says there is nothing to be had here, now: no miss.
            self._misses = 0
            raise error
        if wait_s is None:
            wait_s = self._chance() * min(BACKOFF_MAX_S, BACKOFF_S * 2 ** (attempt - 1))
        if attempt == tries or self._monotonic() + wait_s >= ends:
            self._misses += 1
            raise error
        self._sleep(wait_s)

    def _follow(self, path: str, since: str | None, ends: float) -> Answer:
        """One try, redirects included."""
        url = self._address + path
        for _ in range(MOST_REDIRECTS + 1):
            self._wait_for_turn(ends)
            self.requests += 1
            until = min(ends, self._monotonic() + self._settings.answer_deadline_s)
            left_s = max(0.05, until - self._monotonic())
            reply = self._exchange.get(url, _conditions(since), left_s)
            if reply.status not in _REDIRECTS:
                return self._take(reply, since)
            url = _same_host(url, reply.headers.get("Location", ""))
        raise ForecastError(f"{NO_ANSWER} (it redirects in a circle)", False)

    def _take(self, reply: Reply, since: str | None) -> Answer:
        if reply.status == 304 and since:
            return Answer(None, since, reply.headers.get("Expires"))
        try:
            return accept(reply.status, reply.headers, reply.body, self._settings.retry_after_max_s)
        except ForecastError as error:
            self._mind(reply.status, error)
            raise

    def _mind(self, status: int, error: ForecastError) -> None:
        """Slow down for every later request, or stop asking, when the service says so."""
        if status == 403:
            self._refusal = error
        if status == 429:
            self._pace.slow_down(error.retry_after_s)

    def _wait_for_turn(self, ends: float) -> None:
        wait_s = self._pace.wait_s()
        if self._monotonic() + wait_s >= ends:
            raise ForecastError("no time was left to ask the weather service", True)
        if wait_s > 0:
            self._sleep(wait_s)
        self._pace.take()


def _conditions(since: str | None) -> dict[str, str]:
    """The headers that ask for an answer only where it is another than the one known."""
    if not since:
        return {}
    return {"If-None-Match" if since.startswith(('"', "W/")) else "If-Modified-Since": since}


def _same_host(url: str, location: str) -> str:
    """Where a redirect leads, if it stays with the service."""
    target = urljoin(url, location)
    here, there = urlsplit(url), urlsplit(target)
    if not location or (here.scheme, here.netloc) != (there.scheme, there.netloc):
        raise ForecastError(
            "the weather service's address redirects to another one, "
            f"{one_line(there.netloc)[:60]!r}, which is not followed; check [forecast] address",
            False,
        )
    return target
