"""The bucket of tokens a host is asked by; waits worked by hand."""

import pytest

from forecasts.pacing import SLOWEST_SPACING_S, HostPace, Paces
from tests.forecasts.answers import Clock


@pytest.fixture
def clock() -> Clock:
    return Clock()


def ask(pace: HostPace, clock: Clock) -> float:
    """Wait for a token and take it; the wait [s]."""
    wait_s = pace.wait_s()
    clock.sleep(wait_s)
    pace.take()
    return wait_s


def test_requests_go_at_the_pace_and_no_faster(clock):
    pace = HostPace(2, clock)

    assert [ask(pace, clock) for _ in range(4)] == pytest.approx([0, 0.5, 0.5, 0.5])


def test_time_spent_elsewhere_counts(clock):
    pace = HostPace(2, clock)
    ask(pace, clock)
    clock.now_s += 0.3

    assert pace.wait_s() == pytest.approx(0.2)


def test_a_long_rest_saves_up_one_request_and_no_more(clock):
    pace = HostPace(2, clock)
    clock.now_s += 3600

    assert [ask(pace, clock) for _ in range(3)] == pytest.approx([0, 0.5, 0.5])


def test_a_complaint_halves_the_pace_and_keeps_the_pause_asked_for(clock):
    pace = HostPace(2, clock)
    ask(pace, clock)
    pace.slow_down(7)

    assert [ask(pace, clock) for _ in range(3)] == pytest.approx([7, 1, 1])


def test_a_complaint_that_names_no_pause_waits_one_turn_of_the_new_pace(clock):
    pace = HostPace(2, clock)
    ask(pace, clock)
    pace.slow_down(None)

    assert pace.wait_s() == pytest.approx(1)


def test_a_second_complaint_keeps_the_pause_under_way(clock):
    pace = HostPace(2, clock)
    ask(pace, clock)
    pace.slow_down(30)
    clock.now_s += 1
    pace.slow_down(0)

    assert pace.wait_s() == pytest.approx(29)


def test_complaints_slow_down_only_so_far(clock):
    pace = HostPace(2, clock)
    for _ in range(20):
        pace.slow_down(None)
    clock.now_s += 1000
    ask(pace, clock)

    assert pace.wait_s() == pytest.approx(SLOWEST_SPACING_S)


def test_good_answers_bring_the_old_pace_back(clock):
    pace = HostPace(2, clock)
    pace.slow_down(None)
    waits = []
    for _ in range(6):
        waits.append(ask(pace, clock))
        pace.ease()

    assert waits[-1] == pytest.approx(0.5)
    assert waits[1] > 0.5


def test_each_host_has_one_pace_whoever_asks(clock):
    paces = Paces(clock)

    assert paces.of("a.example", 2) is paces.of("a.example", 2)
    paces.of("a.example", 2).take()
    assert paces.of("a.example", 2).wait_s() == pytest.approx(0.5)
    assert paces.of("b.example", 2).wait_s() == 0


def test_who_may_ask_least_often_sets_the_pace_of_a_host(clock):
    paces = Paces(clock)
    paces.of("a.example", 2)
    paces.of("a.example", 0.5)
    pace = paces.of("a.example", 5)

    assert [ask(pace, clock) for _ in range(3)] == pytest.approx([0, 2, 2])
    pace.ease()
    ask(pace, clock)
    assert pace.wait_s() == pytest.approx(2)
