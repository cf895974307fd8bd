"""Nights and the freeze gate."""

import numpy as np
import pytest

from agronomy.nights import (
    HOURLY_NIGHTS,
    LOW_ALONE_MARGIN_F,
    freeze_gate,
    known_through_h,
    nights_of,
)
from agronomy.three_valued import NO, UNKNOWN, YES

HOURS = 216
#: Sunrise in the second hour of the grid and every 24 hours after: a morning run.
DAWNS = 1 + 24 * np.arange(9)


def nine_days(low_f: float = 45.0, changes: dict[int, float] | None = None):
    """Hours with one low at each sunrise; ``changes`` sets the low of single nights."""
    temp = np.full((1, HOURS), low_f + 20)
    window = np.full((1, HOURS), np.nan)
    for night, dawn in enumerate(DAWNS):
        low = (changes or {}).get(night, low_f)
        temp[0, max(0, dawn - 1) : dawn + 1] = low
        window[0, max(0, dawn - 12) : dawn + 2] = low
    return temp, window


def gate_at(temp, window, hour: int = 4, *, cold_spot_f: float = 0.0, days: int = 7):
    """Gate and free nights of a spray started at an hour."""
    daylight = np.zeros((1, HOURS))
    daylight[0] = [(h - 2) % 24 < 11 for h in range(HOURS)]
    nights = nights_of(temp, window, daylight, DAWNS[None, :], [cold_spot_f], [32.0])
    gate = freeze_gate(nights, [32.0], [days])
    return int(gate.gate[0, hour]), int(gate.nights_free[0, hour]), nights


def test_seven_seen_nights_above_freezing_pass():
    """The twin of every refusal below: whole warm data says yes."""
    gate, free, _ = gate_at(*nine_days())

    assert (gate, free) == (YES, 7)


@pytest.mark.parametrize("night", range(1, 8))
def test_a_freeze_in_any_of_the_seven_nights_refuses(night):
    gate, free, _ = gate_at(*nine_days(changes={night: 32.0}))

    assert (gate, free) == (NO, night - 1)


def test_a_freeze_in_the_eighth_night_leaves_seven():
    assert gate_at(*nine_days(changes={8: 28.0}))[0] == YES


def test_a_freeze_exactly_a_week_of_hours_after_the_start_leaves_the_week():
    """Hour 172 is 168 hours after hour 4; hour 171 is inside the week."""
    for hour, wanted in ((172, YES), (171, NO)):
        temp, window = nine_days()
        temp[0, hour] = 31.0
        window[0, hour] = np.nan

        assert gate_at(temp, window)[0] == wanted


def test_the_same_freeze_refuses_a_start_a_day_later():
    assert gate_at(*nine_days(changes={8: 28.0}), hour=28)[0] == NO


def test_the_freeze_of_the_morning_itself_is_past():
    """A spray at 10 am is not caught by the frost that ended at 8."""
    assert gate_at(*nine_days(changes={0: 30.0}))[0] == YES


def test_a_window_low_at_freezing_refuses_though_the_hours_stay_above():
    temp, window = nine_days(low_f=40.0)
    window[0, DAWNS[5] - 12 : DAWNS[5] + 2] = 31.0

    assert gate_at(temp, window)[0] == NO


def test_a_hollow_freezes_before_its_cell():
    temp, window = nine_days(changes={5: 35.0})

    assert gate_at(temp, window)[0] == YES
    assert gate_at(temp, window, cold_spot_f=3.0)[0] == NO


@pytest.mark.parametrize("hour", [20, 30, 100, 140])
def test_one_missing_hour_leaves_the_gate_unknown(hour):
    temp, window = nine_days()
    temp[0, hour] = np.nan

    assert gate_at(temp, window)[0] == UNKNOWN


def test_a_night_without_its_window_is_not_seen():
    temp, window = nine_days()
    window[0, DAWNS[3] - 12 : DAWNS[3] + 2] = np.nan

    gate, free, _ = gate_at(temp, window)

    assert (gate, free) == (UNKNOWN, 2)


def test_a_night_not_seen_before_the_start_leaves_the_gate_unknown():
    """Nobody knows whether the field still lives when the spray of tomorrow begins."""
    temp, window = nine_days()
    temp[0, 12] = np.nan

    assert gate_at(temp, window, hour=28, days=6)[0] == UNKNOWN
    assert gate_at(*nine_days(), hour=28, days=6)[0] == YES


def test_the_last_night_may_be_known_by_its_window_alone():
    """Early-morning issues end their hours on day seven while the night window runs past."""
    temp, window = nine_days(low_f=32.0 + LOW_ALONE_MARGIN_F + 1)
    temp[0, DAWNS[6] + 3 :] = np.nan

    assert gate_at(temp, window)[0] == YES


def test_a_window_alone_within_the_margin_of_freezing_is_not_enough():
    temp, window = nine_days(changes={7: 32.0 + LOW_ALONE_MARGIN_F})
    temp[0, DAWNS[6] + 3 :] = np.nan

    assert gate_at(temp, window)[:2] == (UNKNOWN, HOURLY_NIGHTS)


def test_a_forecast_of_five_days_leaves_the_gate_unknown_and_counts_its_nights():
    temp, window = nine_days()
    temp[0, 120:] = np.nan
    window[0, 120:] = np.nan

    assert gate_at(temp, window)[:2] == (UNKNOWN, 4)


def test_known_through_ends_with_the_first_hole():
    temp, window = nine_days()
    *_, whole = gate_at(temp, window)
    temp[0, 50] = np.nan
    *_, holed = gate_at(temp, window)

    assert known_through_h(whole)[0] == HOURS
    assert known_through_h(holed)[0] == 50
