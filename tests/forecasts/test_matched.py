"""Issues of a forecast beside what was observed: the right night, the right day, the right lead.

The place lies at 34.75 N 101.75 W, on Chicago's clock. On 6 October 2026 the sun rises there at
7:46 am (almanac arithmetic: solar noon 1:35 pm, 11 h 38 min of day), so nights end at 9 am.
"""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from agronomy.hourly_forecast import QUANTITIES, CellForecast
from forecasts.matched import WatchedPlace, first_of_each_day, matched
from forecasts.observed import ObservedDays, ObservedReports

CHICAGO = ZoneInfo("America/Chicago")
PLACE = WatchedPlace(34.75, -101.75, CHICAGO)
LATER = datetime(2027, 1, 1, tzinfo=UTC)
NAN = float("nan")


def local(day, hour=0, month=10):
    return datetime(2026, month, day, hour, tzinfo=CHICAGO)


def issue(fetched=None, hours=200, **changes):
    """Sixty degrees at every hour from the one it is fetched in; `changes` are by local hour."""
    fetched = fetched or local(6, 6)
    hourly = {name: np.full(hours, NAN, dtype=np.float32) for name in QUANTITIES}
    hourly["temp_f"][:] = 60.0
    for name, values in changes.items():
        for when, value in values.items():
            hourly[name][round((when - fetched) / timedelta(hours=1))] = value
    return CellForecast(
        cell_id="nws:QQX/1,2",
        source="invented",
        issued_utc=fetched.astimezone(UTC) - timedelta(hours=3),
        fetched_utc=fetched.astimezone(UTC),
        start_utc=fetched.astimezone(UTC),
        hourly=hourly,
    )


def spread(name, first, last, value):
    """One value for every hour from `first` up to `last`."""
    hours = round((last - first) / timedelta(hours=1))
    return {name: {first + timedelta(hours=one): value for one in range(hours)}}


def seen(lows=None, highs=None, rains=None):
    return ObservedDays(CHICAGO, lows or {}, highs or {}, rains or {})


def by_lead(pairs):
    return {
        int(lead): (on.item(), told, observed)
        for lead, on, told, observed in zip(
            pairs.lead_days, pairs.on, pairs.told, pairs.observed, strict=True
        )
    }


def test_a_night_belongs_to_the_date_of_its_morning():
    told = matched(
        [issue(temp_f={local(7, 7): 33.0, local(8, 10): 20.0})],
        PLACE,
        seen({date(2026, 10, 7): 31.0}),
        LATER,
    )
    lows = by_lead(told.lows)
    assert lows[1] == (date(2026, 10, 7), 33.0, 31.0)
    assert lows[2][:2] == (date(2026, 10, 8), 60.0)
    assert lows[3][:2] == (date(2026, 10, 9), 20.0)
    assert np.isnan(lows[2][2])
    assert told.first_night.tolist() == [1]


def test_the_night_that_is_ending_counts_by_its_own_low_only():
    without = matched([issue()], PLACE, seen(), LATER)
    window = spread("window_low_f", local(6, 6), local(6, 9), 38.0)
    with_low = matched([issue(**window)], PLACE, seen({date(2026, 10, 6): 40.0}), LATER)

    assert 0 not in by_lead(without.lows)
    assert by_lead(with_low.lows)[0] == (date(2026, 10, 6), 38.0, 40.0)


def test_a_night_with_a_hole_counts_by_its_own_low_or_not_at_all():
    hole = {local(8, 3): NAN}
    window = spread("window_low_f", local(7, 19), local(8, 9), 38.0)

    assert 2 not in by_lead(matched([issue(temp_f=hole)], PLACE, seen(), LATER).lows)
    told = matched([issue(temp_f=hole, **window)], PLACE, seen(), LATER)
    assert by_lead(told.lows)[2][1] == 38.0


def test_a_cold_spot_makes_the_low_that_was_told_of_the_field():
    place = WatchedPlace(34.75, -101.75, CHICAGO, cold_spot_f=3.0)
    told = matched([issue(temp_f={local(7, 7): 36.0})], place, seen(), LATER)
    assert by_lead(told.lows)[1][1] == 33.0


def test_highs_are_those_of_the_local_day():
    told = matched(
        [issue(temp_f={local(6, 16): 81.0, local(7, 6): 90.0, local(8, 20): 77.0})],
        PLACE,
        seen(highs={date(2026, 10, 6): 84.0}),
        LATER,
    )
    highs = by_lead(told.highs)
    assert highs[0] == (date(2026, 10, 6), 81.0, 84.0)
    assert highs[1][1] == 60.0
    assert highs[2][1] == 77.0


def test_a_day_already_begun_when_it_was_fetched_has_no_high():
    told = matched([issue(fetched=local(6, 8))], PLACE, seen(), LATER)
    assert min(by_lead(told.highs)) == 1


def test_what_is_not_over_yet_is_left_out():
    told = matched([issue()], PLACE, seen(), local(8, 12).astimezone(UTC))
    assert max(by_lead(told.lows)) == 2
    assert max(by_lead(told.highs)) == 1


def test_days_have_their_own_length_when_the_clocks_change():
    """On 1 November 2026 1 am comes twice: the afternoon's 5 pm is hour 18 of that day."""
    fetched = local(31, 6)
    at_five = datetime(2026, 11, 1, 17, tzinfo=CHICAGO).astimezone(UTC)
    hours = round((at_five - fetched.astimezone(UTC)) / timedelta(hours=1))
    assert hours == 36
    one = issue(fetched=fetched)
    one.hourly["temp_f"][hours + 4] = 99.0  # 9 pm, past the day's last hour
    one.hourly["temp_f"][hours] = 80.0
    one.hourly["rain_chance_pct"][:] = 30.0
    one.hourly["rain_chance_from_h"][:] = 0.0
    one.hourly["rain_chance_pct"][18 + 25] = NAN  # the first hour of 2 November
    told = matched([one], PLACE, seen(rains={date(2026, 11, 1): 0.2}), LATER)

    assert by_lead(told.highs)[1][:2] == (date(2026, 11, 1), 80.0)
    assert by_lead(told.rain)[1][0] == date(2026, 11, 1)
    assert by_lead(told.rain)[1][2] == 0.2
    assert 2 not in by_lead(told.rain)


def test_the_chance_of_a_day_lies_between_its_bounds():
    """Two halves of 20 and 50 %: at least 50, at most 60, midway 55. By hand."""
    first = spread("rain_chance_pct", local(7), local(7, 12), 20.0)["rain_chance_pct"]
    second = spread("rain_chance_pct", local(7, 12), local(8), 50.0)["rain_chance_pct"]
    begins = spread("rain_chance_from_h", local(7), local(7, 12), 1.0)["rain_chance_from_h"]
    later = spread("rain_chance_from_h", local(7, 12), local(8), 2.0)["rain_chance_from_h"]
    one = issue(rain_chance_pct=first | second, rain_chance_from_h=begins | later)
    told = by_lead(matched([one], PLACE, seen(rains={date(2026, 10, 7): 0.0}), LATER).rain)

    assert set(told) == {1}
    assert told[1] == (date(2026, 10, 7), pytest.approx(55.0), 0.0)


def test_wind_is_compared_by_the_hour_of_the_working_day():
    hours = np.arange(48)
    start = np.datetime64("2026-10-06T05:53", "s")
    reports = ObservedReports(
        station="KQQX",
        time_utc=start + hours * np.timedelta64(1, "h"),
        temp_f=np.full(48, 50.0),
        wind=np.where(hours == 10, 12.0, 5.0),
        rain=np.full(48, NAN),
    )
    one = issue(**spread("wind_mph", local(6, 6), local(7, 20), 9.0))
    told = matched([one], PLACE, reports, LATER)

    # 15:53 UTC is 10:53 am in Chicago, the third of ten hours.
    assert told.wind.lead_days.tolist() == [0] * 10 + [1] * 10
    assert told.wind.observed[:4].tolist() == [5.0, 5.0, 12.0, 5.0]
    assert set(told.wind.told) == {9.0}


def test_one_issue_a_day_is_taken_the_first_and_never_a_stale_one():
    early, noon, next_day = issue(local(6, 6)), issue(local(6, 12)), issue(local(7, 6))
    old = CellForecast(**{**vars(early), "issued_utc": early.fetched_utc - timedelta(hours=25)})
    undated = CellForecast(**{**vars(early), "issued_utc": None})

    assert first_of_each_day([next_day, noon, early], CHICAGO) == [early, next_day]
    assert first_of_each_day([old, undated, noon], CHICAGO) == [noon]


def test_no_issue_gives_no_pair():
    told = matched([], PLACE, seen(), LATER)
    assert told.lows.told.size == told.rain.told.size == 0
    assert told.fetched_utc == ()
