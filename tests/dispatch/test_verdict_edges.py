"""The edges of a verdict: every mixture of gates in an hour, and the ages a forecast may have."""

from itertools import product
from types import SimpleNamespace

import numpy as np
import pytest
from skies import morning, only_call, sky, visit

from dispatch.decide import span_hours

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
