"""An invented fortnight of October weather, hour by hour, in whole forecaster's numbers.

Warm and still at first, rain on Wednesday night, a windy front on Saturday, and a clear, calm
night at the end that freezes. All of it is a formula over the table of days: no chance in it.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Whole = npt.NDArray[np.int64]
Hours = npt.NDArray[np.float64]

#: Midnight UTC of the first day in the table.
STORY_BEGINS_UTC = datetime(2026, 10, 4, tzinfo=UTC)
#: UTC hour of the day's low and of its high [h]; 7 am and 4 pm on the farm's clock.
LOW_HOUR, HIGH_HOUR = 12, 21
#: Length of a rain total [h].
BLOCK_H = 6


class Day(NamedTuple):
    """One day: its morning low to the next morning's, as an ordinary cell has it."""

    low_f: float
    high_f: float
    dew_f: float
    night_wind_kt: float
    day_wind_kt: float
    gust_ratio: float
    wind_from_deg: int
    sky_pct: int
    clear_night_frac: float


#: 4 to 15 October. ``clear_night_frac`` is how far the night before cooled off unhindered.
STORY = (
    Day(54, 83, 54, 3, 7, 1.5, 190, 10, 0.8),
    Day(56, 85, 57, 3, 7, 1.5, 180, 12, 0.6),
    Day(57, 85, 59, 3, 7, 1.5, 170, 18, 0.5),
    Day(58, 84, 60, 4, 8, 1.5, 160, 46, 0.3),
    Day(60, 71, 60, 7, 10, 1.5, 110, 97, 0.0),
    Day(55, 75, 55, 4, 6, 1.5, 200, 38, 0.1),
    Day(52, 73, 46, 9, 17, 1.6, 350, 55, 0.3),
    Day(44, 65, 36, 5, 9, 1.5, 10, 22, 0.3),
    Day(41, 63, 34, 4, 7, 1.5, 30, 14, 0.5),
    Day(38, 60, 30, 2, 6, 1.5, 340, 6, 0.5),
    Day(31, 62, 29, 3, 6, 1.5, 200, 4, 1.0),
    Day(36, 68, 33, 4, 8, 1.5, 210, 8, 0.5),
)

#: Chance [%] and total [inch] of rain by six-hour block, counted from Wednesday 7 October 12Z.
RAIN_BEGINS_UTC = datetime(2026, 10, 7, 12, tzinfo=UTC)
RAIN = (
    (8, 0.0), (14, 0.0), (35, 0.03), (75, 0.24), (65, 0.19), (40, 0.06), (15, 0.0), (8, 0.0),
    (4, 0.0), (4, 0.0), (6, 0.0), (12, 0.0), (20, 0.0), (18, 0.0), (5, 0.0),
)  # fmt: skip
#: Chance of rain in every other block [%].
FAIR_CHANCE_PCT = 2


@dataclass(frozen=True)
class CellWeather:
    """How one cell differs from the ordinary one.

    ``clear_night_drop_f`` comes off the low of a wholly clear, calm night. ``blown_out_kt`` is
    added to the wind of Tuesday 6 October until 4 pm on the farm's clock.
    """

    high_offset_f: float = 0.0
    low_offset_f: float = 0.0
    dew_offset_f: float = 0.0
    clear_night_drop_f: float = 0.0
    wind_extra_kt: float = 0.0
    blown_out_kt: float = 0.0
    rain_frac: float = 1.0


#: When the blown-out cell has its extra wind.
BLOWN_OUT_UTC = (datetime(2026, 10, 6, 11, tzinfo=UTC), datetime(2026, 10, 6, 21, tzinfo=UTC))


class RainBlock(NamedTuple):
    """A rain total and its chance over ``[start_utc, end_utc)``."""

    start_utc: datetime
    end_utc: datetime
    total_in: float
    chance_pct: int


@dataclass(frozen=True, eq=False)
class HourlyWeather:
    """Weather of one cell, one value an hour from ``start_utc``, rain in six-hour blocks."""

    start_utc: datetime
    temp_f: Whole
    dew_f: Whole
    humidity_pct: Whole
    wind_kt: Whole
    gust_kt: Whole
    wind_from_deg: Whole
    sky_pct: Whole
    rain: tuple[RainBlock, ...]

    @property
    def hours(self) -> int:
        """Number of hours."""
        return len(self.temp_f)


def hourly_weather(cell: CellWeather, start_utc: datetime, hours: int) -> HourlyWeather:
    """The story as ``cell`` has it, for ``hours`` from ``start_utc``, a whole hour.

    Hours before or after the table repeat its first or last day's values.
    """
    begin_h = (start_utc - STORY_BEGINS_UTC).total_seconds() / 3600
    hour = begin_h + np.arange(hours, dtype=np.float64)
    day = np.clip((hour - LOW_HOUR) // 24, 0, len(STORY) - 1).astype(np.int64)
    temp_f = _temperature_f(cell, hour)
    dew_f = np.minimum(_dew_point_f(cell, hour), temp_f)
    wind_kt = _wind_kt(cell, hour, day)
    return HourlyWeather(
        start_utc=start_utc,
        temp_f=_whole(temp_f),
        dew_f=_whole(dew_f),
        humidity_pct=_whole(_humidity_pct(temp_f, dew_f)),
        wind_kt=_whole(wind_kt),
        gust_kt=_whole(wind_kt * _column("gust_ratio")[day]),
        wind_from_deg=_whole(_column("wind_from_deg")[day]),
        sky_pct=_whole(_column("sky_pct")[day]),
        rain=tuple(_rain_blocks(cell, start_utc, hours)),
    )


def _column(name: str) -> Hours:
    return np.array([getattr(day, name) for day in STORY], dtype=float)


def _whole(values: Hours) -> Whole:
    return np.rint(values).astype(np.int64)


def _temperature_f(cell: CellWeather, hour: Hours) -> Hours:
    lows = _column("low_f") + cell.low_offset_f
    lows = lows - cell.clear_night_drop_f * _column("clear_night_frac")
    highs = _column("high_f") + cell.high_offset_f
    turning_f = np.column_stack([lows, highs]).ravel()
    days = 24.0 * np.arange(len(STORY))
    turning_h = np.column_stack([days + LOW_HOUR, days + HIGH_HOUR]).ravel()
    last = np.clip(np.searchsorted(turning_h, hour, side="right") - 1, 0, len(turning_h) - 2)
    share = (hour - turning_h[last]) / (turning_h[last + 1] - turning_h[last])
    eased = (1 - np.cos(np.pi * np.clip(share, 0, 1))) / 2
    warmed_f: Hours = turning_f[last] + (turning_f[last + 1] - turning_f[last]) * eased
    return np.rint(warmed_f)


def _dew_point_f(cell: CellWeather, hour: Hours) -> Hours:
    noon_h = 24.0 * np.arange(len(STORY)) + 18
    return np.rint(np.interp(hour, noon_h, _column("dew_f") + cell.dew_offset_f))


def _humidity_pct(temp_f: Hours, dew_f: Hours) -> Hours:
    return 100 * _vapor_hpa(dew_f) / _vapor_hpa(temp_f)


def _vapor_hpa(temp_f: Hours) -> Hours:
    # Magnus form with the coefficients of Alduchov and Eskridge 1996; good to 0.4 %.
    temp_c = (temp_f - 32) / 1.8
    vapor_hpa: Hours = 6.1094 * np.exp(17.625 * temp_c / (temp_c + 243.04))
    return vapor_hpa


def _wind_kt(cell: CellWeather, hour: Hours, day: Whole) -> Hours:
    night, noon = _column("night_wind_kt")[day], _column("day_wind_kt")[day]
    daylight = np.clip(np.sin(np.pi * ((hour % 24 - LOW_HOUR) % 24) / 14), 0, None)
    daylight = np.where((hour - LOW_HOUR) % 24 <= 14, daylight, 0.0)
    wind_kt: Hours = night + (noon - night) * np.sqrt(daylight) + cell.wind_extra_kt
    first, last = ((at - STORY_BEGINS_UTC).total_seconds() / 3600 for at in BLOWN_OUT_UTC)
    wind_kt = np.where((hour >= first) & (hour < last), wind_kt + cell.blown_out_kt, wind_kt)
    return np.rint(wind_kt)


def _rain_blocks(cell: CellWeather, start_utc: datetime, hours: int) -> list[RainBlock]:
    end_utc = start_utc + timedelta(hours=hours)
    begin_utc = start_utc.replace(hour=start_utc.hour // BLOCK_H * BLOCK_H)
    blocks = []
    while begin_utc < end_utc:
        stop_utc = begin_utc + timedelta(hours=BLOCK_H)
        number = (begin_utc - RAIN_BEGINS_UTC) // timedelta(hours=BLOCK_H)
        inside = 0 <= number < len(RAIN)
        chance_pct, total_in = RAIN[number] if inside else (FAIR_CHANCE_PCT, 0.0)
        first_utc, last_utc = max(begin_utc, start_utc), min(stop_utc, end_utc)
        share = (last_utc - first_utc) / timedelta(hours=BLOCK_H)
        total_in = round(total_in * cell.rain_frac * share, 2)
        blocks.append(RainBlock(first_utc, last_utc, total_in, chance_pct))
        begin_utc = stop_utc
    return blocks
