from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from forecasts.interval import (
    MOST_KNOWN,
    PACKED_HOURS,
    hour_utc,
    hours_of,
    packed_hours,
    unpacked,
)

#: Hours from 1970 to 2024-02-20 00:00 UTC, counted by hand: 19,773 days.
FEB_20 = 19_773 * 24


@pytest.mark.parametrize(
    ("text", "first", "length"),
    [
        ("2024-02-20T11:00:00+00:00/PT1H", FEB_20 + 11, 1),
        ("2024-02-20T11:00:00+00:00/P1DT13H", FEB_20 + 11, 37),
        ("2024-02-20T11:00:00Z/P8DT6H", FEB_20 + 11, 198),
        ("2024-02-20T11:00:00Z/P2D", FEB_20 + 11, 48),
        ("2024-02-20T11:00:00Z/P1W", FEB_20 + 11, 168),
        ("2024-02-20T11:00Z/PT120M", FEB_20 + 11, 2),
        ("2024-02-20T11:00:00Z/PT1H60M", FEB_20 + 11, 2),
        ("2024-02-20T11:00:00Z/PT7200S", FEB_20 + 11, 2),
        ("2024-02-20T06:00:00-05:00/PT3H", FEB_20 + 11, 3),
        ("2024-02-20T16:30:00+05:30/PT3H", FEB_20 + 11, 3),
    ],
)
def test_an_interval_is_its_hours_in_utc(text, first, length):
    assert hours_of(text) == (first, first + length)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "2024-02-20T11:00:00+00:00",
        "2024-02-20T11:00:00/PT1H",
        "2024-02-30T11:00:00Z/PT1H",
        "2024-02-20T25:00:00Z/PT1H",
        "2024-02-20T11:00:00Z/P",
        "2024-02-20T11:00:00Z/PT",
        "2024-02-20T11:00:00Z/P1DT",
        "2024-02-20T11:00:00Z/PT0H",
        "2024-02-20T11:00:00Z/PT-3H",
        "2024-02-20T11:00:00Z/-PT3H",
        "2024-02-20T11:00:00Z/P1M",
        "2024-02-20T11:00:00Z/P1Y",
        "2024-02-20T11:00:00Z/PT1.5H",
        "2024-02-20T11:00:00Z/PT90M",
        "2024-02-20T11:30:00Z/PT1H",
        "2024-02-20T11:00:00Z/PT1H ",
        "2024-02-20T11:00:00Z/2024-02-20T12:00:00Z",
        "0001-01-01T00:00:00+23:59/PT1H",
        "2024-02-20T11:00:00Z/PT٣H",
    ],
)
def test_what_is_no_interval_of_whole_hours_is_refused(text):
    with pytest.raises(ValueError, match="got"):
        hours_of(text)


@given(
    st.text(max_size=40) | st.from_regex(r"20\d\d-\d\d-\d\dT\d\d:\d\d:\d\dZ/P\w*", fullmatch=True)
)
def test_any_text_is_either_hours_or_refused(text):
    try:
        first, end = hours_of(text)
    except ValueError:
        return
    assert first < end


def test_the_hour_the_clocks_go_back_over_is_two_hours():
    # 2026-11-01, the United States' long night: 1 am CDT and 1 am CST are 06Z and 07Z.
    first, end = hours_of("2026-11-01T00:00:00-05:00/P1DT1H")
    assert end - first == 25
    assert hour_utc(first) == datetime(2026, 11, 1, 5, tzinfo=UTC)
    assert hour_utc(end) == datetime(2026, 11, 2, 6, tzinfo=UTC)


def test_packed_intervals_are_the_same_hours_in_their_order():
    told = ["2024-02-20T11:00:00Z/PT3H", "2024-02-20T06:00:00-05:00/PT2H"]
    first, end = unpacked(packed_hours(one) for one in [*told, told[0]])
    assert first.tolist() == [FEB_20 + 11] * 3
    assert end.tolist() == [FEB_20 + 14, FEB_20 + 13, FEB_20 + 14]


def test_an_interval_that_is_refused_is_refused_again():
    for _ in range(2):
        with pytest.raises(ValueError, match="wanted whole hours"):
            packed_hours("2024-02-20T11:30:00Z/PT1H")


def test_the_intervals_remembered_do_not_grow_without_end():
    for hour in range(MOST_KNOWN + 10):
        packed_hours(f"2024-02-20T00:00:00Z/PT{hour % 9999 + 1}H" + "0M" * (hour // 9999))
    assert len(PACKED_HOURS) <= MOST_KNOWN
