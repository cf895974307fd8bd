"""Which time a command works with."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from scheduler.clock import ClockError, now_utc

CHICAGO = ZoneInfo("America/Chicago")
REPLAY = datetime(2026, 10, 6, 11, tzinfo=UTC)


@pytest.mark.parametrize(
    ("at", "wanted"),
    [
        ("2026-10-06T06:00", datetime(2026, 10, 6, 11, tzinfo=UTC)),
        (" 2026-10-06 06:00 ", datetime(2026, 10, 6, 11, tzinfo=UTC)),
        ("2026-10-06T06:00-07:00", datetime(2026, 10, 6, 13, tzinfo=UTC)),
        ("2026-10-06T06:00Z", datetime(2026, 10, 6, 6, tzinfo=UTC)),
        ("2026-12-06T06:00", datetime(2026, 12, 6, 12, tzinfo=UTC)),
    ],
)
def test_a_time_asked_for_wins_and_is_local_unless_it_says_otherwise(at, wanted):
    assert now_utc(at, REPLAY, CHICAGO) == wanted


def test_a_replayed_farm_keeps_its_own_clock():
    assert now_utc(None, REPLAY, CHICAGO) == REPLAY
    assert now_utc(None, datetime(2026, 10, 6, 6), CHICAGO) == REPLAY


def test_otherwise_it_is_now():
    told = now_utc(None, None, CHICAGO)
    assert told.tzinfo is UTC
    assert abs(told - datetime.now(UTC)) < timedelta(seconds=5)


@pytest.mark.parametrize(
    "at", ["", "yesterday", "2026-10-06", "10/6/2026 6:00", "2026-13-01T00:00"]
)
def test_a_time_that_cannot_be_read_is_refused_with_an_example(at):
    with pytest.raises(ClockError, match=r"wanted a date and a time such as 2026-10-06T06:00"):
        now_utc(at, None, CHICAGO)
