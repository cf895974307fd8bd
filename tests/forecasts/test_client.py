"""The client against a mocked service: what it retries, refuses, follows and says."""

import pytest
import requests
import responses
from responses.matchers import header_matcher

from forecasts.client import WeatherClient
from forecasts.errors import ForecastError
from forecasts.settings import ForecastSettings
from tests.forecasts.answers import Clock, as_bytes, gridpoint, problem

ADDRESS = "https://api.weather.gov"
PATH = "/gridpoints/XYZ/12,34"
URL = ADDRESS + PATH
GOOD = as_bytes(gridpoint())
GEO = "application/geo+json"
PROBLEM = "application/problem+json"


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def service():
    with responses.RequestsMock(assert_all_requests_are_fired=True) as mocked:
        yield mocked


def make_client(clock: Clock, **settings) -> WeatherClient:
    return WeatherClient(
        ForecastSettings(contact="office@sandhill.example", **settings),
        "1.2.3",
        sleep=clock.sleep,
        monotonic=clock,
        chance=lambda: 0.5,
    )


def say(service, status: int, body=GOOD, kind: str = GEO, url: str = URL, **headers) -> None:
    told = {name.replace("_", "-"): value for name, value in headers.items()}
    service.add(responses.GET, url, body, status=status, content_type=kind, headers=told)


def test_the_request_says_who_asks_and_what_for(clock, service):
    wanted = {
        "User-Agent": "warmspell/1.2.3 (office@sandhill.example)",
        "Accept": "application/geo+json",
    }
    service.add(responses.GET, URL, GOOD, content_type=GEO, match=[header_matcher(wanted)])
    client = make_client(clock)

    assert client.get(PATH).body == GOOD
    assert client.requests == 1


@pytest.mark.parametrize("status", [500, 502, 503, 504, 429])
def test_a_failing_service_is_asked_again(clock, service, status):
    say(service, status, as_bytes(problem("Unexpected Problem", status)), PROBLEM)
    say(service, 200)
    client = make_client(clock)

    assert client.get(PATH).body == GOOD
    assert client.requests == 2


def test_waits_between_tries_grow(clock, service):
    for _ in range(4):
        say(service, 500, b"", "text/html")
    client = make_client(clock, requests_per_second=5)

    with pytest.raises(ForecastError, match=r"\(500\)") as caught:
        client.get(PATH)
    assert clock.slept_s == [0.5, 1.0, 2.0]
    assert caught.value.recoverable
    assert client.requests == 4


def test_a_problem_is_told_with_its_title_and_detail(clock, service):
    say(service, 503, as_bytes(problem("Unexpected Problem", 503, "It has\nfailed.")), PROBLEM)

    with pytest.raises(ForecastError) as caught:
        make_client(clock, tries=1).get(PATH)
    assert caught.value.message == (
        "no answer from the weather service (503 Unexpected Problem: It has failed)"
    )


@pytest.mark.parametrize(
    ("asked", "waited_s"),
    [
        ("30", 30.0),
        ("1000000000", 60.0),
        ("0", 0.0),
        ("-5", 0.5),
        ("soon", 0.5),
        ("1e9", 0.5),
        ("Tue, 06 Oct 2026 11:00:40 GMT", 40.0),
        ("Tue, 06 Oct 2026 12:00:00 GMT", 60.0),
        ("Tue, 06 Oct 2026 10:00:00 GMT", 0.5),
    ],
)
def test_a_wait_the_service_asks_for_is_kept_within_bounds(clock, service, asked, waited_s):
    say(service, 503, b"", PROBLEM, Retry_After=asked, Date="Tue, 06 Oct 2026 11:00:00 GMT")
    say(service, 200)
    make_client(clock, requests_per_second=5).get(PATH)

    # The pace of five a second adds up to 0.2 s where less was waited.
    assert sum(clock.slept_s) == pytest.approx(max(waited_s, 0.2))


def test_no_wait_reaches_past_the_end_of_the_morning(clock, service):
    say(service, 503, b"", PROBLEM, Retry_After="30")
    client = make_client(clock)
    client.begin(25)

    with pytest.raises(ForecastError) as caught:
        client.get(PATH)
    assert clock.slept_s == []
    assert caught.value.retry_after_s == 30
    assert client.requests == 1


def test_nothing_is_asked_when_the_morning_is_over(clock, service):
    client = make_client(clock)
    client.begin(10)
    clock.now_s += 10

    assert client.out_of_time()
    with pytest.raises(ForecastError, match="no time was left"):
        client.get(PATH)
    assert client.requests == 0


def test_requests_keep_their_pace(clock, service):
    for _ in range(4):
        say(service, 200)
    client = make_client(clock, requests_per_second=2)
    began = clock.now_s
    for _ in range(4):
        client.get(PATH)

    assert clock.now_s - began == pytest.approx(1.5)


def test_too_many_requests_slows_every_later_one(clock, service):
    say(service, 429, b"<html>slow down</html>", "text/html", Retry_After="7")
    for _ in range(3):
        say(service, 200)
    client = make_client(clock, tries=2)
    client.get(PATH)
    waited = clock.now_s
    client.get("/gridpoints/XYZ/12,34")

    assert clock.slept_s[0] == 7
    assert clock.now_s - waited > 0.5
    client.get(PATH)


def test_a_missing_contact_is_told_once_and_nothing_more_is_asked(clock, service):
    say(service, 403, b"<html>Forbidden</html>", "text/html")
    client = make_client(clock)
    for _ in range(2):
        with pytest.raises(ForecastError, match=r"set \[forecast\] contact") as caught:
            client.get(PATH)
        assert not caught.value.recoverable

    assert client.requests == 1


def test_nothing_there_is_gone_and_not_asked_again(clock, service):
    say(service, 404, as_bytes(problem("Data Unavailable For Requested Point", 404)), PROBLEM)
    client = make_client(clock)

    with pytest.raises(ForecastError, match="404 Data Unavailable") as caught:
        client.get(PATH)
    assert caught.value.gone
    assert not caught.value.recoverable
    assert client.requests == 1


def test_a_redirect_to_shorter_coordinates_is_followed(clock, service):
    say(
        service,
        301,
        b"{}",
        PROBLEM,
        ADDRESS + "/points/34.75001,-101.75",
        Location="/points/34.75,-101.75",
    )
    say(service, 200, url=ADDRESS + "/points/34.75,-101.75")
    client = make_client(clock)

    assert client.get("/points/34.75001,-101.75").body == GOOD
    assert client.requests == 2


@pytest.mark.parametrize(
    "location",
    ["https://elsewhere.example/x", "//elsewhere.example/x", "http://api.weather.gov/x", ""],
)
def test_a_redirect_to_another_host_is_not_followed(clock, service, location):
    say(service, 302, b"", "text/html", Location=location)
    client = make_client(clock)

    with pytest.raises(ForecastError, match="redirects to another one") as caught:
        client.get(PATH)
    assert not caught.value.recoverable
    assert client.requests == 1


def test_redirects_in_a_circle_end(clock, service):
    say(service, 301, b"", PROBLEM, Location=PATH)
    client = make_client(clock)

    with pytest.raises(ForecastError, match="in a circle"):
        client.get(PATH)


def test_an_unchanged_answer_is_none(clock, service):
    since = "Tue, 06 Oct 2026 10:00:00 GMT"
    service.add(
        responses.GET, URL, status=304, match=[header_matcher({"If-Modified-Since": since})]
    )
    answer = make_client(clock).get(PATH, since)

    assert answer.body is None
    assert answer.last_modified == since


def test_the_time_of_change_is_kept(clock, service):
    say(service, 200, Last_Modified="Tue, 06 Oct 2026 10:00:00 GMT")
    assert make_client(clock).get(PATH).last_modified == "Tue, 06 Oct 2026 10:00:00 GMT"


@pytest.mark.parametrize(
    ("body", "kind", "words"),
    [
        (b"<html>Sign in to the network</html>", "text/html", "a page of text/html"),
        (GOOD[:-30], GEO, "cut off or garbled"),
        (b'{"value": NaN}', GEO, "cut off or garbled"),
        (as_bytes(problem("Unexpected Problem", 500)), PROBLEM, "a problem Unexpected Problem"),
    ],
)
def test_two_hundred_without_a_forecast_is_a_failure_tried_again(clock, service, body, kind, words):
    say(service, 200, body, kind)
    say(service, 200, body, kind)

    with pytest.raises(ForecastError, match=words) as caught:
        make_client(clock, tries=2).get(PATH)
    assert caught.value.recoverable


def test_an_endless_answer_is_cut_and_not_asked_for_again(clock, service):
    say(service, 200, b" " * 5_000_001)
    client = make_client(clock)

    with pytest.raises(ForecastError, match="larger than 5 MB"):
        client.get(PATH)
    assert client.requests == 1


def test_after_several_dead_cells_each_further_one_gets_a_single_try(clock, service):
    say(service, 500, b"", "text/html")
    client = make_client(clock, tries=3)
    for _ in range(5):
        with pytest.raises(ForecastError):
            client.get(PATH)

    assert client.requests == 3 * 3 + 2


def test_a_contact_cannot_smuggle_in_a_header(clock, service):
    settings = ForecastSettings(contact="a@b.example\r\nX-Evil: 1 é", tries=1)
    say(service, 200)
    WeatherClient(settings, "1", sleep=clock.sleep, monotonic=clock).get(PATH)

    sent = service.calls[0].request.headers["User-Agent"]
    assert sent == "warmspell/1 (a@b.example X-Evil: 1 ?)"


def test_a_certificate_nobody_vouches_for_is_refused_and_not_asked_again(clock, service):
    service.add(responses.GET, URL, body=requests.exceptions.SSLError("self-signed"))
    client = make_client(clock)

    with pytest.raises(ForecastError, match="certificate is not trusted") as caught:
        client.get(PATH)
    assert not caught.value.recoverable
    assert client.requests == 1
