"""Odds at a field by the members of an ensemble, counted by hand."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from skies import NOW, START, cotton, rules

from dispatch.member_odds import member_odds, odds_not_known

#: Members tell from midnight UTC of the day, eleven hours before the morning.
MIDNIGHT = datetime(2026, 10, 6, tzinfo=UTC)
MEMBERS, HOURS = 31, 240


@dataclass
class Told:
    temp_f: np.ndarray
    rain_in: np.ndarray
    source: str = "Test members"
    issued_utc: datetime = NOW - timedelta(hours=5)
    start_utc: datetime = MIDNIGHT


def members(steady_f=45.0):
    shape = (MEMBERS, HOURS)
    return Told(np.full(shape, steady_f, np.float32), np.zeros(shape, np.float32))


def odds(told, *, cold_spot_f=0.0, **gates):
    field = cotton(cold_spot_f=cold_spot_f)
    return member_odds({"f1": told}, START, [field, cotton(2)], {"f1": rules(**gates)})["f1"]


def hour(moment) -> int:
    return (moment - MIDNIGHT) // timedelta(hours=1)


DAWN = datetime(2026, 10, 10, 11, tzinfo=UTC)


def test_of_31_members_those_that_freeze_within_seven_days_are_counted():
    told = members()
    told.temp_f[:12, hour(DAWN)] = 31.5
    counted = odds(told)

    # 12 of 31 are 38.7 in 100.
    assert counted.at(counted.freeze_pct, START) == pytest.approx(38.7, abs=0.05)
    assert counted.at(counted.members, START) == 31
    assert counted.at(counted.freeze_pct, DAWN) is None
    assert (counted.source, counted.problem) == ("Test members", "")


def test_a_start_after_the_freeze_is_no_longer_caught_by_it():
    told = members()
    early = START + timedelta(hours=24)
    told.temp_f[:12, hour(early)] = 31.5
    counted = odds(told)

    assert counted.at(counted.freeze_pct, early) == pytest.approx(38.7, abs=0.05)
    assert counted.at(counted.freeze_pct, early + timedelta(hours=1)) == 0.0


def test_the_seven_days_must_be_told():
    counted = odds(members())
    # 240 hours from midnight of the 6th end at midnight of the 16th, seven days after the 9th.
    last = datetime(2026, 10, 9, tzinfo=UTC)
    assert counted.at(counted.freeze_pct, last) == 0.0
    assert counted.at(counted.freeze_pct, last + timedelta(hours=1)) is None


def test_the_cold_spot_counts_at_night_alone():
    told = members()
    told.temp_f[:12, hour(DAWN)] = 34.0
    told.temp_f[12:, hour(DAWN) + 9] = 34.0
    assert odds(told).freeze_pct[0] == 0.0
    assert odds(told, cold_spot_f=2.5).freeze_pct[0] == pytest.approx(38.7, abs=0.05)


def test_the_line_is_the_fields_own():
    told = members(31.0)
    assert odds(told).freeze_pct[0] == 100.0
    assert odds(told, freeze_f=30.0).freeze_pct[0] == 0.0


def test_members_that_do_not_tell_all_of_it_are_not_counted():
    told = members()
    told.temp_f[:15, hour(DAWN)] = np.nan
    told.temp_f[15:23, hour(DAWN) + 1] = 30.0
    counted = odds(told)

    # Eight of the sixteen that tell all seven days.
    assert counted.at(counted.members, START) == 16
    assert counted.at(counted.freeze_pct, START) == 50.0


def test_of_31_members_those_that_stay_dry_are_counted():
    told = members()
    at = START + timedelta(hours=5)
    told.rain_in[:10, hour(at) + 12] = 0.05
    told.rain_in[10:20, hour(at) + 13] = 0.05
    counted = odds(told)

    # The mix of these tests needs the hour and twelve after it: 21 of 31 are 67.7 in 100.
    assert counted.at(counted.dry_pct, at) == pytest.approx(67.7, abs=0.05)


def test_a_field_nobody_told_of_has_none():
    assert set(member_odds({"f1": members()}, START, [cotton(), cotton(2)], {"f1": rules()})) == {
        "f1"
    }
    assert member_odds({}, START, [cotton()], {}) == {}


def test_odds_that_are_not_known_tell_nothing_at_any_hour():
    nothing = odds_not_known("Test members", START, "no answer")
    assert nothing.at(nothing.freeze_pct, START) is None
    assert nothing.at(nothing.dry_pct, START + timedelta(hours=3)) is None
    assert nothing.problem == "no answer"
