"""The skies of several simulated seasons: what comes, and what a morning is told of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta

import numpy as np
import numpy.typing as npt

from agronomy.hourly_forecast import FORECAST_HOURS, HourlyForecast
from agronomy.moist_air import pressure_hpa
from agronomy.sun import sun_hours
from agronomy.three_valued import YES
from agronomy.thresholds import SprayGates
from agronomy.workable import workable_hours
from dispatch.outlook import sun_of
from dispatch.season import assumptions as assumed
from dispatch.season.air import draw_air, hourly_f, humidity_pct
from dispatch.season.rain import HALF_DAY_H, draw_rain
from dispatch.season.temperatures import draw_temperatures

Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

#: Rain of an hour in which it rains, and told where it is likelier than not [inch].
RAIN_IN_HOUR_IN = 0.05
#: Chance from which an amount is told beside it [%].
AMOUNT_FROM_PCT = 50.0
#: Hours before a morning at which its forecast was issued [h].
ISSUED_BEFORE_H = 2


@dataclass(frozen=True, eq=False)
class Truth:
    """What comes in each season: hours from the first morning's on.

    ``temp_f`` (seasons, hours); ``rains`` and ``workable`` (seasons, zones, hours); ``low_f`` and
    ``high_f`` (seasons, days).
    """

    low_f: Floats
    high_f: Floats
    temp_f: Floats
    rains: Flags
    workable: Flags


@dataclass(frozen=True, eq=False)
class Told:
    """What forecasts tell in each season, by morning and hours ahead.

    ``low_f`` and ``high_f`` (seasons, days, leads), ``high_before_f`` (seasons, days) seen the
    day before, ``wind_mph`` (seasons, days, hours), ``rain_chance_pct`` (seasons, days, zones,
    half days), ``dew_below_low_f`` (seasons, days).
    """

    low_f: Floats
    high_f: Floats
    high_before_f: Floats
    wind_mph: Floats
    rain_chance_pct: Floats
    dew_below_low_f: Floats


def draw_skies(seed: int, seasons: Sequence[int], gates: SprayGates) -> tuple[Truth, Told]:
    """Skies of seasons by number; a season is the same in whatever company it is drawn."""
    drawn = [_draw(np.random.default_rng([seed, number, 0])) for number in seasons]
    temperatures, rains, airs = zip(*drawn, strict=True)
    low = np.stack([one.low_f for one in temperatures])
    high = np.stack([one.high_f for one in temperatures])
    temp = hourly_f(low, high, high[:, 0])
    hours = temp.shape[1]
    rain = np.stack([one.falls for one in rains])[:, :, :hours]
    dew_below = np.stack([one.dew_below_low_f for one in airs])
    wind = np.stack([one.wind_mph for one in airs])[:, :hours]
    dew = np.repeat(low - dew_below[:, : low.shape[1]], 24, axis=1)[:, :hours]
    workable = _workable(temp, humidity_pct(temp, dew), wind, rain, gates)
    told = Told(
        low_f=np.stack([one.low_told_f for one in temperatures]),
        high_f=np.stack([one.high_told_f for one in temperatures]),
        high_before_f=np.concatenate([high[:, :1], high[:, :-1]], axis=1),
        wind_mph=np.stack([one.wind_told_mph for one in airs]),
        rain_chance_pct=np.stack([one.chance_pct for one in rains]),
        dew_below_low_f=dew_below,
    )
    return Truth(low, high, temp, rain, workable), told


def _draw(rng: np.random.Generator) -> tuple[object, object, object]:
    return draw_temperatures(rng), draw_rain(rng), draw_air(rng)


def morning_utc(day: int) -> datetime:
    """The moment of a morning, on which its day of hours begins."""
    on = assumed.FIRST_DAY + timedelta(days=int(day))
    return datetime.combine(on, time(assumed.MORNING_UTC_H), UTC)


def _workable(
    temp_f: Floats, humidity: Floats, wind_mph: Floats, rains: Flags, gates: SprayGates
) -> Flags:
    seasons, zones, hours = rains.shape
    place = (np.array([assumed.LATITUDE]), np.array([assumed.LONGITUDE]))
    every_row = np.zeros(seasons * zones, dtype=np.int64)
    sun = sun_of(sun_hours(*place, morning_utc(0), hours), every_row)

    def rows(values: Floats) -> Floats:
        return np.repeat(values, zones, axis=0)

    verdict = workable_hours(
        temp_f=rows(temp_f),
        humidity_pct=rows(humidity),
        pressure_hpa=pressure_hpa(assumed.ELEVATION_FT),
        wind_mph=rows(wind_mph),
        gust_mph=rows(wind_mph * assumed.GUST_RATIO),
        rain_in=np.where(rains, RAIN_IN_HOUR_IN, 0.0).reshape(seasons * zones, hours),
        sun=sun,
        gates=gates,
    )
    return np.asarray((verdict.gate == YES).reshape(rains.shape))


def forecast_of(told: Told, day: int) -> HourlyForecast:
    """What the morning of a day is told, one cell for each season and part of the co-op."""
    seasons, _, zones, halves = told.rain_chance_pct.shape
    low, high = told.low_f[:, day], told.high_f[:, day]
    leads = low.shape[1]
    temp = _padded(hourly_f(low, high, told.high_before_f[:, day]))
    dew = low - told.dew_below_low_f[:, day : day + leads]
    dew = _padded(np.repeat(dew, 24, axis=1))
    wind = _padded(told.wind_mph[:, day])
    chance = told.rain_chance_pct[:, day].reshape(seasons * zones, halves)
    chance = _padded(np.repeat(chance, HALF_DAY_H, axis=1))
    first_h = round(morning_utc(day).timestamp() / 3600)
    from_h = first_h + HALF_DAY_H * (np.arange(FORECAST_HOURS) // HALF_DAY_H)

    def cells(values: Floats) -> npt.NDArray[np.float32]:
        whole = np.repeat(values, zones, axis=0) if len(values) == seasons else values
        return whole.astype(np.float32)

    every = np.ones((seasons, 1))
    amount = np.where(chance >= AMOUNT_FROM_PCT, RAIN_IN_HOUR_IN, 0.0)
    issued = morning_utc(day) - timedelta(hours=ISSUED_BEFORE_H)
    count = seasons * zones
    return HourlyForecast(
        start_utc=morning_utc(day),
        cell_ids=tuple(f"cell {row}" for row in range(count)),
        issued_utc=(issued,) * count,
        source=("Simulated sky",) * count,
        problem=("",) * count,
        elevation_ft=np.full(count, assumed.ELEVATION_FT),
        temp_f=cells(temp),
        window_low_f=cells(_windows(low)),
        humidity_pct=cells(humidity_pct(temp, dew)),
        wind_mph=cells(wind),
        gust_mph=cells(wind * assumed.GUST_RATIO),
        wind_from_deg=cells(180 * every * np.ones(FORECAST_HOURS)),
        sky_pct=cells(20 * every * np.ones(FORECAST_HOURS)),
        rain_in=cells(np.where(np.isnan(chance), np.nan, amount)),
        rain_chance_pct=cells(chance),
        # A float32 holds whole hours since 1970 exactly up to 2 ** 24, some 1,900 years.
        rain_chance_from_h=cells(np.broadcast_to(from_h.astype(float), (count, FORECAST_HOURS))),
    )


def _padded(values: Floats) -> Floats:
    """Hours past what is told are not known."""
    beyond = FORECAST_HOURS - values.shape[1]
    return np.pad(values, ((0, 0), (0, max(0, beyond))), constant_values=np.nan)[:, :FORECAST_HOURS]


#: Hours of a night window before and after the low it holds [h]: 7 pm to 9 am.
WINDOW_BEFORE_H, WINDOW_AFTER_H = 12, 2


def _windows(low_f: Floats) -> Floats:
    """Low of the night window each hour lies in."""
    window = np.full((len(low_f), FORECAST_HOURS), np.nan)
    for lead in range(low_f.shape[1]):
        at = 24 * lead + assumed.LOW_AT_H
        window[:, max(0, at - WINDOW_BEFORE_H) : at + WINDOW_AFTER_H] = low_f[:, lead, None]
    return window
