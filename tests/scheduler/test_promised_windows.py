"""Promised windows against what came: held, broken, not over, not observed."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from dispatch.report import Call
from forecasts.matched import WatchedPlace
from forecasts.observed import ObservedDays
from scheduler.promised_windows import Promise, Rules, window_scores

CHICAGO = ZoneInfo("America/Chicago")
LATER = datetime(2026, 12, 1, tzinfo=UTC)
#: The window of the conftest's report opens on 6 October at 11 am in Chicago; its rain-free
#: hours are 24, and seven nights end on the mornings of 7 to 13 October.
NIGHTS = [date(2026, 10, day) for day in range(7, 14)]


def rules(lows=None, rains=None, colder_f=0.0):
    lows = dict.fromkeys(NIGHTS, 40.0) | (lows or {})
    known = {on: low for on, low in lows.items() if low is not None}
    observed = ObservedDays(CHICAGO, known, {}, rains or {})
    place = WatchedPlace(36.5, -97.5, CHICAGO)
    return {"007": Rules(place, observed, 32.0, 7, colder_f)}


@pytest.mark.parametrize(
    ("lows", "colder_f", "wanted"),
    [
        pytest.param({}, 0, Promise(held=1, mornings=1), id="seven mild nights"),
        pytest.param({NIGHTS[6]: 32.0}, 0, Promise(broken=1, mornings=1), id="the last freezes"),
        pytest.param({NIGHTS[0]: 31.0}, 0, Promise(broken=1, mornings=1), id="the first freezes"),
        pytest.param({NIGHTS[3]: None}, 0, Promise(not_known=1), id="one not observed"),
        pytest.param(
            {NIGHTS[3]: None, NIGHTS[0]: 20.0}, 0, Promise(not_known=1), id="broken, yet not whole"
        ),
        pytest.param({date(2026, 10, 14): 20.0}, 0, Promise(held=1, mornings=1), id="the eighth"),
        pytest.param({date(2026, 10, 6): 20.0}, 0, Promise(held=1, mornings=1), id="before it"),
        pytest.param({}, 8.0, Promise(broken=1, mornings=1), id="a field 8 F colder"),
    ],
)
def test_nights_hold_when_all_are_observed_and_none_froze(report, lows, colder_f, wanted):
    told = window_scores([report], rules(lows, colder_f=colder_f), LATER)
    assert told.windows == 1
    assert told.nights == wanted


@pytest.mark.parametrize(
    ("rains", "wanted"),
    [
        ({date(2026, 10, 6): 0.0, date(2026, 10, 7): 0.0}, Promise(held=1, mornings=1)),
        ({date(2026, 10, 6): 0.0, date(2026, 10, 7): 0.2}, Promise(not_known=1)),
        ({date(2026, 10, 6): 0.0}, Promise(not_known=1)),
        ({}, Promise(not_known=1)),
    ],
    ids=["two dry days", "wet, the hour not known", "one day not observed", "no gauge"],
)
def test_dry_hours_hold_only_on_days_known_to_be_dry(report, rains, wanted):
    assert window_scores([report], rules(rains=rains), LATER).dry == wanted


def test_hourly_rain_within_the_hours_breaks_them(report):
    class Gauge:
        def low_f(self, start_utc, end_utc):
            return 40.0

        def rain_in(self, start_utc, end_utc):
            assert end_utc - start_utc == timedelta(hours=25)
            return 0.02

    watched = {"007": Rules(WatchedPlace(36.5, -97.5, CHICAGO), Gauge(), 32.0, 7)}
    assert window_scores([report], watched, LATER).dry == Promise(broken=1, mornings=1)


def test_nights_still_to_come_are_not_over(report):
    now = datetime(2026, 10, 12, tzinfo=UTC)
    told = window_scores([report], rules(rains={NIGHTS[0]: 0.0, date(2026, 10, 6): 0.0}), now)
    assert told.nights == Promise(not_over=1)
    assert told.dry == Promise(held=1, mornings=1)


def test_only_full_windows_of_fields_to_spray_promise_anything(report):
    part = report.fields[1].windows[0].model_copy(update={"full": False})
    partial = report.fields[1].model_copy(update={"windows": (part,)})
    short = report.fields[1].model_copy(update={"call": Call.SHORT})
    for one in (partial, short):
        morning = report.model_copy(update={"fields": (one,)})
        assert window_scores([morning], rules(), LATER).windows == 0
    assert window_scores([report], {}, LATER).windows == 0


def test_two_windows_of_one_morning_are_one_morning(report):
    twice = report.fields[1].model_copy(update={"windows": report.fields[1].windows * 2})
    morning = report.model_copy(update={"fields": (twice,)})
    told = window_scores([morning], rules(), LATER)
    assert (told.windows, told.nights) == (2, Promise(held=2, mornings=1))
