"""Calls of another day do not stand, however young their forecasts are."""

from dataclasses import replace
from datetime import timedelta

import pytest

from web.standing_order import OTHER_DAY, of_today, why_gone, without_gone


@pytest.fixture
def report(desk):
    return desk.mornings.latest()


def later(desk, report, hours):
    """What is known so many hours on, where forecasts may be as old as they like."""
    since = desk.mornings.since(report)
    return replace(since, now=since.now + timedelta(hours=hours), age_no_spray_h=1_000)


def test_in_the_morning_every_call_stands(desk, report):
    since = later(desk, report, 1)
    assert of_today(report, since)
    assert why_gone(report, since) == {}
    assert without_gone(report, {}) == report


def test_after_midnight_of_the_farm_none_in_the_order_does(desk, report):
    """The demo's morning is made at 6:10 am: its day ends 17 hours and 50 minutes later."""
    assert of_today(report, later(desk, report, 17))
    since = later(desk, report, 18)
    gone = why_gone(report, since)
    assert set(gone) == {one.field.id for one in report.fields if one.rank is not None}
    assert set(gone.values()) == {OTHER_DAY}

    cleared = without_gone(report, gone)
    assert [one.field.id for one in cleared.fields] == [one.field.id for one in report.fields]
    assert {one.rank for one in cleared.fields} == {None}
    assert all(one.windows == () for one in cleared.fields if one.field.id in gone)
    assert all(one.reasons == (OTHER_DAY,) for one in cleared.fields if one.field.id in gone)
