"""When a morning is due, over ordinary days, odd days and broken clocks."""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.due import (
    LookAgain,
    Missed,
    Nothing,
    RunNow,
    SendTimes,
    ahead_due,
    due,
    look_due,
    past_deadline,
    too_late,
)

CHICAGO = ZoneInfo("America/Chicago")
TIMES = SendTimes(CHICAGO, send_at=time(6), deadline=time(6, 45), late_until=time(12))


@dataclass
class Book:
    """A ledger in memory."""

    sent: list[date] = field(default_factory=list)
    missed: list[date] = field(default_factory=list)

    def sent_on(self, local_date: date) -> bool:
        return local_date in self.sent

    def missed_on(self, local_date: date) -> bool:
        return local_date in self.missed


def local(text: str, zone: ZoneInfo = CHICAGO, fold: int = 0) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=zone, fold=fold).astimezone(UTC)


TUESDAY = date(2026, 10, 6)


@pytest.mark.fault("S07", "S08", "S09")
@pytest.mark.parametrize(
    ("now", "wanted"),
    [
        pytest.param("2026-10-06T00:00", Nothing(local("2026-10-06T06:00")), id="midnight"),
        pytest.param("2026-10-06T05:59:59", Nothing(local("2026-10-06T06:00")), id="just before"),
        pytest.param("2026-10-06T06:00", RunNow(TUESDAY, late=False), id="on time"),
        pytest.param("2026-10-06T06:00:05", RunNow(TUESDAY, late=False), id="restart at 06:00:05"),
        pytest.param("2026-10-06T06:45", RunNow(TUESDAY, late=False), id="at the deadline"),
        pytest.param("2026-10-06T06:45:30", RunNow(TUESDAY, late=True), id="past the deadline"),
        pytest.param("2026-10-06T09:02", RunNow(TUESDAY, late=True), id="down until 09:02"),
        pytest.param("2026-10-06T12:00", RunNow(TUESDAY, late=True), id="last moment"),
        pytest.param("2026-10-06T12:00:01", Missed(TUESDAY), id="too late"),
        pytest.param("2026-10-06T13:00", Missed(TUESDAY), id="down until 13:00"),
        pytest.param("2026-10-06T23:59", Missed(TUESDAY), id="end of the day"),
    ],
)
def test_a_day_with_nothing_done_yet(now, wanted):
    assert due(local(now), Book(), TIMES) == wanted


@pytest.mark.parametrize("now", ["2026-10-06T06:00:30", "2026-10-06T09:00", "2026-10-06T23:00"])
@pytest.mark.parametrize("book", [Book(sent=[TUESDAY]), Book(missed=[TUESDAY])])
def test_a_day_that_is_done_leaves_only_tomorrow(now, book):
    assert due(local(now), book, TIMES) == Nothing(local("2026-10-07T06:00"))


@pytest.mark.fault("S12")
def test_a_clock_set_back_after_sending_sends_nothing_again():
    assert due(local("2026-10-06T05:30"), Book(sent=[TUESDAY]), TIMES) == Nothing(
        local("2026-10-07T06:00")
    )


@pytest.mark.fault("S10")
def test_after_three_nights_asleep_only_today_is_run():
    book = Book(sent=[date(2026, 10, 2)])
    assert due(local("2026-10-06T07:30"), book, TIMES) == RunNow(TUESDAY, late=True)
    book.sent.append(TUESDAY)
    assert due(local("2026-10-06T07:31"), book, TIMES) == Nothing(local("2026-10-07T06:00"))


@pytest.mark.fault("S14", "S15")
@pytest.mark.parametrize(
    ("day", "hours"),
    [
        pytest.param(date(2026, 11, 1), 25, id="clocks back 2026-11-01"),
        pytest.param(date(2027, 3, 14), 23, id="clocks forward 2027-03-14"),
    ],
)
@pytest.mark.parametrize("wall", [time(0, 30), time(1, 30), time(2, 30), time(6)])
def test_a_day_with_an_hour_more_or_less_runs_once(day, hours, wall):
    times = SendTimes(CHICAGO, wall, time(7), time(12))
    book, runs = Book(), 0
    start = datetime.combine(day, time(0), tzinfo=CHICAGO).astimezone(UTC)
    for minute in range(hours * 60):
        verdict = due(start + timedelta(minutes=minute), book, times)
        if isinstance(verdict, RunNow):
            assert (verdict.local_date, verdict.late) == (day, False)
            runs += 1
            book.sent.append(verdict.local_date)
    assert runs == 1


@pytest.mark.fault("S14")
def test_the_repeated_hour_counts_the_first_time():
    times = SendTimes(CHICAGO, time(1, 30), time(2), time(12))
    assert isinstance(due(local("2026-11-01T01:29"), Book(), times), Nothing)
    assert isinstance(due(local("2026-11-01T01:30"), Book(), times), RunNow)


@pytest.mark.fault("S15")
def test_a_time_that_the_clocks_skip_is_run_right_after_the_gap():
    times = SendTimes(CHICAGO, time(2, 30), time(4), time(12))
    assert due(local("2027-03-14T01:59"), Book(), times) == Nothing(
        datetime(2027, 3, 14, 8, 30, tzinfo=UTC)
    )
    assert isinstance(due(datetime(2027, 3, 14, 8, 30, tzinfo=UTC), Book(), times), RunNow)


@given(
    start=st.datetimes(datetime(2026, 8, 1), datetime(2027, 3, 1)),
    steps=st.lists(st.integers(30, 7 * 3600), min_size=40, max_size=200),
)
@settings(deadline=None, max_examples=150)
def test_stepping_through_a_season_settles_every_day_once(start, steps):
    now, book = start.replace(tzinfo=UTC), Book()
    first, noons = now, set()
    for step in steps:
        verdict = due(now, book, TIMES)
        if isinstance(verdict, RunNow):
            assert not book.sent_on(verdict.local_date)
            book.sent.append(verdict.local_date)
        elif isinstance(verdict, Missed):
            assert not book.missed_on(verdict.local_date)
            book.missed.append(verdict.local_date)
        else:
            assert verdict.next_utc > now
        now += timedelta(seconds=step)
    settled = book.sent + book.missed
    assert len(settled) == len(set(settled))
    day, last = first.astimezone(CHICAGO).date(), now.astimezone(CHICAGO).date()
    while day < last - timedelta(days=1):
        noons.add(day)
        day += timedelta(days=1)
    assert noons <= set(settled)


def test_times_out_of_order_are_refused():
    with pytest.raises(ValueError, match="got send_at 07:00, deadline 06:45"):
        SendTimes(CHICAGO, time(7), time(6, 45), time(12))


def test_a_time_without_a_zone_is_refused():
    with pytest.raises(ValueError, match="wanted an aware time"):
        due(datetime(2026, 10, 6, 6), Book(), TIMES)


@pytest.mark.fault("S16")
def test_farms_in_three_zones_each_go_by_their_own_clock_and_date():
    """At 6:30 am in New York it is 5:30 in Chicago and 8:30 pm of the same day in Sydney."""
    now = local("2026-10-06T06:30", ZoneInfo("America/New_York"))
    zones = {"America/New_York": RunNow(TUESDAY, late=False), "Australia/Sydney": Missed(TUESDAY)}
    zones["America/Chicago"] = Nothing(local("2026-10-06T06:00"))
    for name, wanted in zones.items():
        times = SendTimes(ZoneInfo(name), time(6), time(6, 45), time(12))
        assert due(now, Book(), times) == wanted


@dataclass
class Runs:
    """A ledger of runs by kind."""

    done: set[str]

    def sent_on(self, local_date: date, kind: str = "morning") -> bool:
        return local_date == TUESDAY and kind in self.done


@pytest.mark.parametrize(
    ("now", "done", "wanted"),
    [
        ("08:59:59", {"morning"}, None),
        ("09:00", {"morning"}, "again-3h"),
        ("10:00", {"morning"}, "again-3h"),
        ("10:00:01", {"morning"}, None),
        ("09:30", {"morning", "again-3h"}, None),
        ("12:10", {"morning", "again-3h"}, "again-6h"),
        ("12:10", {"morning"}, "again-6h"),
        ("13:01", {"morning"}, None),
        ("09:00", set(), None),
    ],
)
def test_a_morning_that_was_sent_is_looked_at_again_after_three_and_six_hours(now, done, wanted):
    told = look_due(local(f"2026-10-06T{now}"), Runs(done), TIMES)
    assert told == (None if wanted is None else LookAgain(TUESDAY, wanted))


@pytest.mark.parametrize(
    ("kind", "channel", "planned", "now", "wanted"),
    [
        pytest.param("morning-mail", "mail", "06:00", "12:00", False, id="mail until noon"),
        pytest.param("morning-mail", "mail", "06:00", "12:00:01", True, id="no mail after noon"),
        pytest.param("morning-sms", "sms", "06:00", "10:00", False, id="text until ten"),
        pytest.param("morning-sms", "sms", "06:00", "10:00:01", True, id="no text after ten"),
        pytest.param("morning-mail", "mail", "14:00", "15:00", False, id="by hand at two"),
        pytest.param("morning-mail", "mail", "14:00", "15:00:01", True, id="by hand, an hour on"),
        pytest.param("correction-mail", "mail", "12:00", "16:00", False, id="correction at four"),
        pytest.param("correction-mail", "mail", "12:00", "16:00:01", True, id="correction after"),
        pytest.param("alarm-missed-sms", "sms", "13:00", "23:00", False, id="alarm at night"),
    ],
)
def test_what_comes_too_late_is_not_worth_sending(kind, channel, planned, now, wanted):
    moments = (local(f"2026-10-06T{planned}"), local(f"2026-10-06T{now}"))
    assert too_late(kind, channel, TUESDAY, *moments, TIMES) is wanted


def test_yesterdays_calls_are_too_late_whatever_the_hour():
    yesterday = TUESDAY - timedelta(days=1)
    planned = local("2026-10-05T06:00")
    for hour in range(24):
        now = local(f"2026-10-06T{hour:02d}:00")
        assert too_late("morning-mail", "mail", yesterday, planned, now, TIMES)


@pytest.mark.parametrize(("now", "wanted"), [("06:45", False), ("06:45:01", True), ("23:00", True)])
def test_the_deadline_is_a_moment_of_the_farms_day(now, wanted):
    assert past_deadline(TUESDAY, local(f"2026-10-06T{now}"), TIMES) is wanted


@dataclass
class ByKind:
    """A ledger of runs by kind."""

    sent: set[tuple[date, str]] = field(default_factory=set)

    def sent_on(self, local_date: date, kind: str = "morning") -> bool:
        return (local_date, kind) in self.sent


HALF_HOUR = timedelta(minutes=30)
TODAY = date(2026, 10, 6)


@pytest.mark.parametrize(
    ("wall", "sent", "wanted"),
    [
        pytest.param("05:29:59", set(), None, id="too early"),
        pytest.param("05:30", set(), TODAY, id="the lead begins"),
        pytest.param("05:59:59", set(), TODAY, id="just before the morning"),
        pytest.param("06:00", set(), None, id="the morning is due"),
        pytest.param("05:45", {(TODAY, "ahead")}, None, id="fetched already"),
        pytest.param("05:45", {(TODAY, "morning")}, None, id="made by hand already"),
        pytest.param("05:45", {(date(2026, 10, 5), "ahead")}, TODAY, id="fetched yesterday"),
    ],
)
def test_fetching_ahead_is_due_once_in_the_time_before_its_morning(wall, sent, wanted):
    now = datetime.fromisoformat(f"2026-10-06T{wall}").replace(tzinfo=CHICAGO).astimezone(UTC)
    assert ahead_due(now, ByKind(sent), TIMES, HALF_HOUR) == wanted


def test_a_morning_soon_after_midnight_is_fetched_for_on_the_evening_before():
    times = SendTimes(CHICAGO, send_at=time(0, 10), deadline=time(1), late_until=time(2))
    now = datetime(2026, 10, 5, 23, 50, tzinfo=CHICAGO).astimezone(UTC)
    assert ahead_due(now, ByKind(), times, HALF_HOUR) == TODAY


def test_the_lead_is_counted_in_hours_that_pass_on_the_day_the_clocks_go_on():
    """2027-03-14: 2 am is skipped, so four hours before 6 am CDT it is 1 am CST."""
    now = datetime(2027, 3, 14, 7, 0, tzinfo=UTC)
    sunday = date(2027, 3, 14)
    assert ahead_due(now, ByKind(), TIMES, timedelta(hours=4)) == sunday
    assert ahead_due(now - timedelta(seconds=1), ByKind(), TIMES, timedelta(hours=4)) is None
