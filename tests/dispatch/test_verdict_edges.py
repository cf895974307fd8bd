"""The edges of a verdict: every mixture of gates in an hour, and the ages a forecast may have."""

from itertools import product
from types import SimpleNamespace

import numpy as np
import pytest
from skies import POLICY, morning, only_call, sky, visit

from dispatch.decide import decide, span_hours

YES, NO, UNKNOWN = 1, 0, -1
#: workable, dry, freeze-free, whether enough nights are seen, whether it is light.
MIXTURES = list(product((YES, NO, UNKNOWN), (YES, NO, UNKNOWN), (YES, NO, UNKNOWN), (5, 4), (1, 0)))


@pytest.fixture(scope="module")
def span():
    workable, dry, freeze, nights, light = (np.array([one]) for one in zip(*MIXTURES, strict=True))
    outlook = SimpleNamespace(
        workable=workable,
        dry=dry,
        freeze=SimpleNamespace(gate=freeze, nights_free=nights),
        sun=SimpleNamespace(daylight=light.astype(float)),
    )
    return span_hours(outlook, 0, 0, len(MIXTURES), 5)


@pytest.mark.parametrize("hour", range(len(MIXTURES)))
def test_each_mixture_of_gates_is_sorted_by_what_is_known(span, hour):
    workable, dry, freeze, nights, light = MIXTURES[hour]
    gates = (workable, dry, freeze)
    full = gates == (YES, YES, YES)
    short_of_sight = freeze == UNKNOWN and nights >= 5
    told = workable == YES and dry != UNKNOWN and (freeze != UNKNOWN or short_of_sight)
    missing = [one == UNKNOWN for one in gates]
    missing[2] = missing[2] and not short_of_sight
    assert (hour in span.full) == full
    assert (hour in span.partial) == (told and not full)
    assert (hour in span.may_be_full) == (NO not in gates and any(missing))
    assert (hour in span.undecided) == (workable != NO and not told)
    assert (hour in span.light) == (light == 1)


@pytest.mark.parametrize(("age_h", "call"), [(12.0, "spray"), (12.1, "unknown")])
def test_a_forecast_of_just_the_oldest_age_still_says_spray(age_h, call):
    assert only_call(morning(sky(age_h=age_h))).call == call


@pytest.mark.parametrize(("age_h", "call"), [(24.0, "wait"), (24.1, "unknown")])
def test_a_forecast_of_just_a_day_still_lets_a_green_field_wait(age_h, call):
    green = visit(nacb=9, percent_open=10)
    assert only_call(morning(sky(age_h=age_h), visits=[green])).call == call


def verdict(now_pct, later_pct, *, state="mature", age_h=3.0, back_from_h=40, dark_from_h=60):
    """The verdict on a field with one good hour now and one level effect from hour 40 on."""
    hours = np.arange(60)
    gate = np.where(hours == 2, YES, NO)[None, :]
    effect = np.where(hours < 40, now_pct, later_pct).astype(float)
    outlook = SimpleNamespace(
        workable=gate,
        dry=gate,
        freeze=SimpleNamespace(gate=gate, nights_free=np.full((1, 60), 7)),
        sun=SimpleNamespace(daylight=np.ones((1, 60))),
    )
    curve = SimpleNamespace(effect_pct=effect[None, :], daylight=(hours < dark_from_h)[None, :])
    readiness = SimpleNamespace(figures=SimpleNamespace(state=state))
    return decide(
        0,
        outlook,
        curve,
        readiness,
        POLICY,
        age_h=age_h,
        first_h=0,
        back_from_h=back_from_h,
        nights_seen_min=5,
    )


@pytest.mark.parametrize(
    ("now_pct", "later_pct", "call"),
    [(80.0, 79.5, "spray"), (80.0, 80.0, "wait"), (80.0, 80.5, "wait")],
)
def test_a_field_that_loses_nothing_at_all_waits(now_pct, later_pct, call):
    assert verdict(now_pct, later_pct).call == call


@pytest.mark.parametrize(("later_pct", "call"), [(74.5, "look"), (75.0, "wait"), (75.5, "wait")])
def test_a_nearly_mature_field_is_walked_above_five_points_not_at_them(later_pct, call):
    assert verdict(80.0, later_pct, state="nearly").call == call


def test_no_forecast_and_an_old_one_are_told_apart():
    assert verdict(80.0, 70.0, age_h=None).why == "no_forecast"
    assert verdict(80.0, 70.0, age_h=30.0).why == "stale"


def test_the_back_of_the_line_begins_with_its_first_hour_and_in_daylight():
    """From hour 40 the effect is another: hour 39 is not yet the back, hour 40 is."""
    assert verdict(80.0, 70.0, back_from_h=40).back_pct == 70.0
    assert verdict(80.0, 70.0, back_from_h=39).back_pct == 80.0
    assert verdict(80.0, 70.0, back_from_h=40).back_h == 40


def test_past_the_last_hour_told_the_last_daylight_stands_for_the_back():
    assert verdict(80.0, 70.0, back_from_h=500).back_pct == 70.0
    assert verdict(80.0, 70.0, back_from_h=500, dark_from_h=30).back_h < 30
