"""Whose word stops a morning: two witnesses that agree, and never one server alone."""

from datetime import UTC, datetime, timedelta

import pytest

from forecasts.times_told import TimesTold, ToldTime
from scheduler.clock_arbiter import judge_clock

NOW = datetime(2026, 10, 6, 11, tzinfo=UTC)


def heard(*answers: tuple[str, float]) -> TimesTold:
    """Answers as (host, minutes our clock is ahead of it)."""
    told = TimesTold(lambda: NOW)
    told.told = [ToldTime(host, NOW - timedelta(minutes=off), NOW) for host, off in answers]
    return told


def issued(hours_ago: float) -> list[datetime | None]:
    return [None, NOW - timedelta(hours=hours_ago)]


A, B, C, DAY = "a.example", "b.example", "c.example", 24 * 60


@pytest.mark.parametrize(
    ("answers", "verdict"),
    [
        pytest.param([], "not heard", id="nobody"),
        pytest.param([(A, 0)], "agrees", id="one"),
        pytest.param([(A, 9.9), (B, -9.9)], "agrees", id="both within ten minutes"),
        pytest.param([(A, 11)], "doubted", id="one alone"),
        pytest.param([(A, DAY)] * 500, "doubted", id="one alone, however often"),
        pytest.param([(A, 11), (B, 12)], "wrong", id="two, ahead"),
        pytest.param([(A, -11), (B, -12)], "wrong", id="two, behind"),
        pytest.param([(A, DAY), (B, 0)], "agrees", id="a liar beside one who is right"),
        pytest.param([(A, DAY), (B, -DAY)], "doubted", id="two who do not agree"),
        pytest.param([(A, DAY), (B, DAY), (C, 0)], "wrong", id="two of three"),
        pytest.param([(A, DAY), (B, 1), (C, 0)], "agrees", id="a liar beside two"),
        pytest.param([(A, DAY)] + [(A, 0)] * 2, "agrees", id="one odd answer of a host"),
    ],
)
def test_the_verdict_of_hosts(answers, verdict):
    assert judge_clock(heard(*answers)).verdict == verdict


@pytest.mark.parametrize(
    ("off_min", "issued_h", "verdict"),
    [
        # Issued in our future, which cannot be, and three hours ago by the host.
        pytest.param(-DAY, -21, "wrong", id="behind by a day"),
        # Twenty-seven hours old by our clock: the service would not send it any more.
        pytest.param(DAY, 27, "wrong", id="ahead by a day"),
        pytest.param(-180, 1, "doubted", id="behind, and the issue fits both"),
        pytest.param(180, 6, "doubted", id="ahead, and the issue fits both"),
        # The one server lies: by its time its own forecasts are of tomorrow, or too old.
        pytest.param(DAY, 3, "doubted", id="a host behind its own forecasts"),
        pytest.param(-DAY, 3, "doubted", id="a host too far ahead of its own forecasts"),
    ],
)
def test_one_host_is_confirmed_only_by_what_is_impossible_by_our_clock(off_min, issued_h, verdict):
    assert judge_clock(heard((A, off_min)), issued(issued_h)).verdict == verdict


def test_a_confirmed_liar_is_not_believed_against_as_many_who_are_right():
    told = heard((A, -DAY), (B, 0), (C, 0))
    assert judge_clock(told, issued(-21)).verdict == "agrees"


def test_the_words_tell_how_far_and_which_way():
    stopped = judge_clock(heard((A, DAY), (B, DAY)))
    assert stopped.stop.startswith(
        "STOP: the clock of the computer that makes this is 24 hours ahead of the weather service's"
    )
    doubted = judge_clock(heard((A, -40)))
    assert doubted.stop == ""
    assert "40 minutes behind" in doubted.alarm
    assert judge_clock(heard((A, 0))).alarm == ""
