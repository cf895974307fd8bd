"""The weather that came over a past season, as far as recorded issues and observations tell it.

Each hour is told by the newest issue made by then; a record of lows, highs and rain, where there is
one, bends the hours of its dates to what was read.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import numpy.typing as npt

from agronomy.hourly_forecast import HourlyForecast
from farm.field import Field
from forecasts.observed import ObservedDays
from scheduler.watched import Watched

Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

#: Rain that counts as rain [inch]: the smallest measurable amount.
WET_IN = 0.01
#: Hours after its morning up to which an issue tells what came, not what may come [h].
FIRST_DAY_H = 24


@dataclass(eq=False)
class SeasonWeather:
    """Hourly weather of each field, shape (fields, hours) from ``start_utc``; NaN not told.

    ``lead_h`` (hours,) is how long before the hour it was told, NaN where nothing was.
    """

    start_utc: datetime
    temp_f: Floats
    rain_in: Floats
    lead_h: Floats
    wet: Flags = field(init=False)

    @classmethod
    def empty(cls, fields: int, start_utc: datetime, hours: int) -> "SeasonWeather":
        """Nothing told yet."""
        blank = np.full((fields, hours), np.nan)
        return cls(start_utc, blank, blank.copy(), np.full(hours, np.nan))

    def tell(self, forecast: HourlyForecast, rows: Sequence[int]) -> None:
        """Lay an issue over what was told before it."""
        at = round((forecast.start_utc - self.start_utc) / timedelta(hours=1))
        hours = min(forecast.hours, self.temp_f.shape[1] - at)
        for mine, told in (
            (self.temp_f, forecast.temp_f),
            (self.rain_in, forecast.rain_in),
        ):
            new = np.asarray(told, float)[list(rows), :hours]
            mine[:, at : at + hours] = np.where(np.isnan(new), mine[:, at : at + hours], new)
        known = ~np.isnan(np.asarray(forecast.temp_f, float)[list(rows), :hours]).all(axis=0)
        lead = np.arange(hours, dtype=float)
        self.lead_h[at : at + hours] = np.where(known, lead, self.lead_h[at : at + hours])

    def close(self, fields: Sequence[Field], watched: Iterable[Watched]) -> None:
        """Bend the hours to what was observed, and settle which hours were wet."""
        self.wet = self.rain_in >= WET_IN
        places = tuple(watched)
        own = {one.field.id: one for one in places if one.own}
        other = next((one for one in places if not one.own), None)
        for row, one in enumerate(fields):
            seen = own.get(one.id, other)
            if seen is not None and isinstance(seen.observed, ObservedDays):
                colder_f = one.cold_spot_f if seen.own else 0.0
                self._bend(row, seen.observed, colder_f, ZoneInfo(one.time_zone))

    def index(self, moment: datetime) -> int:
        """The hour a moment lies in."""
        return int((moment - self.start_utc) // timedelta(hours=1))

    def _bend(self, row: int, seen: ObservedDays, colder_f: float, zone: ZoneInfo) -> None:
        """``colder_f`` is how much colder than its cell the thermometer of a field hangs [F]."""
        day = self.start_utc.astimezone(zone).date()
        hours = self.temp_f.shape[1]
        while (first := self.index(_midnight(day, zone))) < hours:
            last = self.index(_midnight(day + timedelta(days=1), zone))
            mine = slice(max(0, first), min(hours, last))
            temps = self.temp_f[row, mine]
            if first >= 0 and temps.size and not np.isnan(temps).any():
                low = seen.lows_f.get(day, np.nan) + colder_f
                high = seen.highs_f.get(day, np.nan) + colder_f
                self.temp_f[row, mine] = _between(temps, low, high)
            rain = seen.rains_in.get(day, np.nan)
            if rain < WET_IN:
                self.wet[row, mine] = False
            elif rain >= WET_IN and not self.wet[row, mine].any():
                self.wet[row, mine] = True
            day += timedelta(days=1)


def _between(temps: Floats, low_f: float, high_f: float) -> Floats:
    """A day's hours moved so that their lowest and highest are those observed."""
    least, most = temps.min(), temps.max()
    share = (temps - least) / (most - least) if most > least else np.zeros(temps.size)
    low = 0.0 if np.isnan(low_f) else low_f - least
    high = 0.0 if np.isnan(high_f) else high_f - most
    return np.asarray(temps + (1 - share) * low + share * high)


def _midnight(day: date, zone: ZoneInfo) -> datetime:
    return datetime.combine(day, time(), zone).astimezone(UTC)
