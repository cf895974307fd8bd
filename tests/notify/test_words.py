"""Moments, ages and amounts in plain words (the words live with the calls, both rooms use them)."""

from datetime import UTC, date, datetime

import pytest

from dispatch.words import LocalClock, age, amount, chance, day_range, temp

CHICAGO = LocalClock("America/Chicago", "America/Chicago", date(2026, 10, 6))
DENVER = LocalClock("America/Denver", "America/Chicago", date(2026, 10, 6))


def utc(month: int, day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2026, month, day, hour, minute, tzinfo=UTC)


@pytest.mark.parametrize(
    ("moment", "words"),
    [
        (utc(10, 6, 19), "today 2 pm"),
        (utc(10, 7, 17), "tomorrow noon"),
        (utc(10, 8, 19, 30), "Thu 2:30 pm"),
        (utc(10, 4, 22), "Sun 5 pm"),
        (utc(10, 13, 11), "Tue 13 Oct 6 am"),
        (utc(10, 11, 5), "midnight Sat-Sun"),
        (utc(10, 18, 5), "midnight Sat-Sun 18 Oct"),
    ],
)
def test_moments_are_told_in_local_time_with_their_day(moment: datetime, words: str) -> None:
    assert CHICAGO.moment(moment) == words


def test_a_deadline_names_its_weekday_even_today() -> None:
    assert CHICAGO.weekday_moment(utc(10, 6, 19)) == "Tue 2 pm"


def test_a_field_in_another_zone_names_its_zone() -> None:
    assert DENVER.moment(utc(10, 8, 19)) == "Thu 1 pm MDT"


def test_the_hour_that_comes_twice_is_told_apart() -> None:
    clock = LocalClock("America/Chicago", "America/Chicago", date(2026, 10, 31))
    told = [clock.hour(utc(11, 1, hour)) for hour in (5, 6, 7, 8)]

    assert told == ["12 am", "1 am CDT", "1 am CST", "2 am"]


def test_a_window_names_its_day_once() -> None:
    assert CHICAGO.span(utc(10, 6, 15), utc(10, 6, 22)) == "today 10 am-5 pm"
    assert CHICAGO.span(utc(10, 8, 21), utc(10, 9, 7)) == "Thu 4 pm to Fri 2 am"


@pytest.mark.parametrize(
    ("value_f", "words"), [(28.0, "28F"), (32.4, "32.4F"), (27.6, "27.6F"), (34.4, "34F")]
)
def test_a_temperature_is_never_rounded_onto_a_freeze(value_f: float, words: str) -> None:
    assert temp(value_f) == words


def test_ages_amounts_and_chances_are_short() -> None:
    assert [age(one) for one in (0.5, 3.2, 37.0, 80.0)] == [
        "30 min old",
        "3 h old",
        "37 h old",
        "3 days old",
    ]
    assert [amount(one) for one in (8.4, 118.2, 3.0)] == ["8.4", "118", "3"]
    assert [chance(one) for one in (0.1, 0.5, 8.0, 99.5, 99.9)] == [
        "under 1 in 100",
        "under 1 in 100",
        "8 in 100",
        "over 99 in 100",
        "over 99 in 100",
    ]
    assert day_range(date(2026, 9, 29), date(2026, 10, 3)) == "29 Sep-3 Oct"
