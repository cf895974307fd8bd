"""Nights of a forecast: their lows, how much of each is seen, and the freeze gate over them.

A night runs from two hours after one sunrise hour to two hours after the next, so it holds the
day before it: the coldest hour comes at or just after sunrise, and every hour belongs to one
night. "Seven freeze-free days" are the seven nights after the start hour.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from agronomy.three_valued import NO, UNKNOWN, YES, Gate

Floats = npt.NDArray[np.float64]

#: A sunrise closer than this belongs to the night that is ending, which no spray of today can
#: still be caught by [h]. Judgement.
NEAR_DAWN_H = 6

#: Nights, from the first that matters, that must be wholly seen hour by hour [nights]. Hourly
#: forecasts end six to seven days ahead; the night window after them is known as a low only.
HOURLY_NIGHTS = 6

#: How far above the freeze line a night window's low must lie when the hours in it are not known
#: [F]. Hourly lows of 42 whole night windows in six recorded answers of the US Weather Service
#: lay 0 to 3 F from the window's own low.
LOW_ALONE_MARGIN_F = 3.0


@dataclass(frozen=True, eq=False)
class Nights:
    """Nights per place, shape (places, nights) unless said otherwise.

    ``end_h`` is the first hour after each night, ``low_f`` its lowest known temperature at the
    field [F], ``issued_low_f`` the provider's own low where it gave one, ``seen`` whether all of
    it is known, ``first`` (places,) the first night that can still catch a spray,
    ``of_hour`` (places, hours) the night each hour belongs to, and ``temp_f`` (places, hours)
    the field's temperature with every night's low set at its sunrise hour.
    """

    end_h: npt.NDArray[np.int64]
    low_f: Floats
    issued_low_f: Floats
    seen: npt.NDArray[np.bool_]
    first: npt.NDArray[np.int64]
    of_hour: npt.NDArray[np.int64]
    temp_f: Floats


def nights_of(
    temp_f: npt.ArrayLike,
    window_low_f: npt.ArrayLike,
    daylight: npt.ArrayLike,
    dawn_h: npt.ArrayLike,
    cold_spot_f: npt.ArrayLike,
    freeze_f: npt.ArrayLike,
) -> Nights:
    """Split hourly forecasts into nights.

    Parameters
    ----------
    temp_f, window_low_f
        Hourly temperature and the low of the night window each hour lies in [F],
        shape (places, hours), NaN unknown.
    daylight
        1 where the whole hour is in daylight, shape (places, hours).
    dawn_h
        Index of the hour of each sunrise, shape (places, nights), -1 for none.
    cold_spot_f
        How much colder than the cell the field is at night [F], shape (places,).
    freeze_f
        Temperature that counts as a freeze [F], shape (places,).

    Returns
    -------
    Nights
        A low is NaN where neither an hour nor the window of that night is known.
    """
    hourly = np.asarray(temp_f, dtype=float)
    dawn = np.asarray(dawn_h, dtype=np.int64)
    places, hours = hourly.shape
    end = np.where(dawn >= 0, dawn + 2, hours + 1)
    of_hour = (np.arange(hours)[None, :, None] >= end[:, None, :]).sum(axis=2)
    offset = np.asarray(cold_spot_f, dtype=float)[:, None]
    field = np.where(np.asarray(daylight) == 1, hourly, hourly - offset)
    at_dawn = np.clip(dawn, 0, hours - 1)
    window = np.take_along_axis(np.asarray(window_low_f, dtype=float), at_dawn, axis=1) - offset
    window = np.where(dawn >= 0, window, np.nan)
    lows, complete, tail_only = _hours_of_nights(field, of_hour, dawn.shape[1])
    first = np.where(end[:, 0] - 2 <= NEAR_DAWN_H, 1, 0)
    must_be_whole = np.arange(dawn.shape[1]) < first[:, None] + HOURLY_NIGHTS
    clear = window > np.asarray(freeze_f, dtype=float)[:, None] + LOW_ALONE_MARGIN_F
    seen = ~np.isnan(window) & (complete | (~must_be_whole & tail_only & clear))
    low = np.fmin(lows, window)
    with_lows = field.copy()
    rows = np.arange(places)[:, None]
    np.put_along_axis(
        with_lows,
        at_dawn,
        np.where(dawn >= 0, np.fmin(field[rows, at_dawn], low), field[rows, at_dawn]),
        axis=1,
    )
    return Nights(end, low, window, seen & (dawn >= 0), first, of_hour, with_lows)


def _hours_of_nights(
    field_f: Floats, of_hour: npt.NDArray[np.int64], nights: int
) -> tuple[Floats, npt.NDArray[np.bool_], npt.NDArray[np.bool_]]:
    """Lowest known hour of each night, whether all hours are known, whether only the end lacks."""
    known = ~np.isnan(field_f)
    hours = field_f.shape[1]
    last_known = np.where(known.any(axis=1), hours - 1 - known[:, ::-1].argmax(axis=1), -1)
    inside_reach = np.arange(hours)[None, :] <= last_known[:, None]
    lows = np.full((field_f.shape[0], nights), np.nan)
    complete = np.zeros(lows.shape, dtype=bool)
    tail_only = np.zeros(lows.shape, dtype=bool)
    for night in range(nights):
        mine = of_hour == night
        lows[:, night] = np.where(mine & known, field_f, np.inf).min(axis=1)
        complete[:, night] = ~(mine & ~known).any(axis=1) & mine.any(axis=1)
        tail_only[:, night] = ~(mine & ~known & inside_reach).any(axis=1)
    return np.where(np.isinf(lows), np.nan, lows), complete, tail_only


@dataclass(frozen=True, eq=False)
class FreezeGate:
    """The freeze gate for each start hour, shape (places, hours).

    ``gate`` is yes where all the nights asked for are seen and none freezes, no where a freeze
    is seen in them, unknown elsewhere. ``nights_free`` counts the nights from the start hour
    that are seen and do not freeze, one after the other, at most the number asked for.
    ``next_freeze_h`` is the index of the next hour at or below the freeze line, inf where none is
    seen. ``known_through_h`` (places,) is the first hour past what is known of freezes.
    """

    gate: Gate
    nights_free: npt.NDArray[np.int64]
    next_freeze_h: Floats
    known_through_h: npt.NDArray[np.int64]


def freeze_gate(nights: Nights, freeze_f: npt.ArrayLike, days: npt.ArrayLike) -> FreezeGate:
    """Whether no freeze comes within ``days`` nights of each start hour.

    Parameters
    ----------
    nights
        From `nights_of`.
    freeze_f, days
        Freeze line [F] and nights asked for, shape (places,).

    Returns
    -------
    FreezeGate
        A freeze that is known counts wherever it stands in ``days`` times 24 hours; what is not
        known leaves the gate unknown, never yes.
    """
    line = np.asarray(freeze_f, dtype=float)[:, None]
    wanted = np.asarray(days, dtype=np.int64)[:, None]
    hours = nights.of_hour.shape[1]
    frozen_hour = next_at_or_below(nights.temp_f, line)
    freeze_seen = frozen_hour - np.arange(hours)[None, :] < 24 * wanted
    start_night = np.maximum(nights.of_hour, nights.first[:, None])
    free = nights.seen & (nights.low_f > line)
    run = _run_of_true(free)
    padded = np.concatenate([run, np.zeros((run.shape[0], 1), dtype=run.dtype)], axis=1)
    nights_free = np.take_along_axis(padded, np.minimum(start_night, run.shape[1]), axis=1)
    before = _all_before(nights.seen, nights.first)
    known_until_start = np.take_along_axis(before, np.minimum(start_night, run.shape[1]), axis=1)
    verdict = np.where((nights_free >= wanted) & known_until_start, YES, UNKNOWN)
    return FreezeGate(
        gate=np.asarray(np.where(freeze_seen, NO, verdict), dtype=np.int8),
        nights_free=np.minimum(nights_free, wanted),
        next_freeze_h=frozen_hour,
        known_through_h=known_through_h(nights),
    )


def next_at_or_below(temp_f: Floats, line_f: npt.ArrayLike) -> Floats:
    """Index of the next hour at or below a line from each hour on, inf where none is seen.

    ``temp_f`` has shape (places, hours); an unknown hour is passed over, so the answer is the
    latest the freeze can come, never a reason to call it off.
    """
    with np.errstate(invalid="ignore"):
        cold = temp_f <= np.asarray(line_f, dtype=float)
    index = np.where(cold, np.arange(temp_f.shape[1], dtype=float)[None, :], np.inf)
    return np.asarray(np.minimum.accumulate(index[:, ::-1], axis=1)[:, ::-1])


def _run_of_true(flags: npt.NDArray[np.bool_]) -> npt.NDArray[np.int64]:
    """How many are true in a row from each position on."""
    run = np.zeros(flags.shape, dtype=np.int64)
    length = np.zeros(flags.shape[0], dtype=np.int64)
    for position in range(flags.shape[1] - 1, -1, -1):
        length = np.where(flags[:, position], length + 1, 0)
        run[:, position] = length
    return run


def _all_before(seen: npt.NDArray[np.bool_], first: npt.NDArray[np.int64]) -> npt.NDArray[np.bool_]:
    """Whether every night from ``first`` up to, not including, each position is seen."""
    counts = np.arange(seen.shape[1]) < first[:, None]
    passed = np.logical_and.accumulate(seen | counts, axis=1)
    return np.concatenate([np.ones((seen.shape[0], 1), dtype=bool), passed], axis=1)


def known_through_h(nights: Nights) -> npt.NDArray[np.int64]:
    """First hour past what is known of freezes, from now on, shape (places,).

    The later of the end of the last night seen without a gap and the last hour of the unbroken
    hourly forecast; 0 where nothing is known.
    """
    known = ~np.isnan(nights.temp_f)
    hourly = np.logical_and.accumulate(known, axis=1).sum(axis=1)
    through = _all_before(nights.seen, nights.first)[:, 1:]
    last = np.where(through & nights.seen, nights.end_h, 0).max(axis=1)
    return np.asarray(np.maximum(hourly, np.minimum(last, known.shape[1])), dtype=np.int64)
