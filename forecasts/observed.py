"""What was observed at one place, asked for by night, day and hour.

Two kinds answer the same questions: daily figures that somebody wrote down, and the reports of a
weather station. What was not observed is NaN: a silent gauge is not a dry one.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Protocol
from zoneinfo import ZoneInfo

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Moments = npt.NDArray[np.datetime64]

#: Longest silence of a station within which it cannot have missed the low or the high [min]: one
#: hourly report lost.
LONGEST_GAP_MIN = 125

NAN = float("nan")


class Observed(Protocol):
    """Observations of one place. Spans are aware; NaN is not known."""

    def low_f(self, start_utc: datetime, end_utc: datetime) -> float:
        """Lowest temperature of a night that ends in the morning of ``end_utc`` [F]."""

    def high_f(self, start_utc: datetime, end_utc: datetime) -> float:
        """Highest temperature of the day that begins in the morning of ``start_utc`` [F]."""

    def rain_in(self, start_utc: datetime, end_utc: datetime) -> float:
        """Rain between two moments [inch]."""

    def wind_mph(self, start_utc: datetime) -> float:
        """Mean wind of the hour from ``start_utc`` [mph]."""


@dataclass(frozen=True)
class ObservedDays:
    """Daily figures by local date.

    A date's low is that of its morning, its high that of its afternoon, its rain that of midnight
    to midnight.
    """

    zone: ZoneInfo
    lows_f: Mapping[date, float]
    highs_f: Mapping[date, float]
    rains_in: Mapping[date, float]

    def low_f(self, start_utc: datetime, end_utc: datetime) -> float:
        """The low of the date the night ends in [F]."""
        return self.lows_f.get(end_utc.astimezone(self.zone).date(), NAN)

    def high_f(self, start_utc: datetime, end_utc: datetime) -> float:
        """The high of the date the day begins in [F]."""
        return self.highs_f.get(start_utc.astimezone(self.zone).date(), NAN)

    def rain_in(self, start_utc: datetime, end_utc: datetime) -> float:
        """Rain of whole days, and 0 for any hours of days without rain; else not known [inch]."""
        start, end = start_utc.astimezone(self.zone), end_utc.astimezone(self.zone)
        last = (end - timedelta(microseconds=1)).date()
        days = [start.date() + timedelta(days=one) for one in range((last - start.date()).days + 1)]
        told = [self.rains_in.get(day, NAN) for day in days]
        whole = _midnight(start) and _midnight(end)
        return sum(told) if whole or not any(told) else NAN

    def wind_mph(self, start_utc: datetime) -> float:
        """Not observed."""
        return NAN


@dataclass(frozen=True, eq=False)
class ObservedReports:
    """Reports of a station in the order of time, NaN where one does not tell.

    ``time_utc`` is datetime64[s]; ``rain_in`` is what fell in the hour before the report.
    ``refused`` says in plain words what was not believed.
    """

    station: str
    time_utc: Moments
    temp_f: Floats
    wind: Floats
    rain: Floats
    latitude: float = NAN
    longitude: float = NAN
    refused: tuple[str, ...] = field(default=())

    def low_f(self, start_utc: datetime, end_utc: datetime) -> float:
        """Lowest report of the span, NaN where a silence could hide a lower one [F]."""
        temps = self._unbroken(start_utc, end_utc)
        return float(temps.min()) if temps.size else NAN

    def high_f(self, start_utc: datetime, end_utc: datetime) -> float:
        """Highest report of the span, NaN where a silence could hide a higher one [F]."""
        temps = self._unbroken(start_utc, end_utc)
        return float(temps.max()) if temps.size else NAN

    def rain_in(self, start_utc: datetime, end_utc: datetime) -> float:
        """Sum of the hours of the span, NaN where one of them tells no rain [inch]."""
        first = seconds_utc(start_utc).astype("datetime64[h]")
        hours = int((seconds_utc(end_utc) - first) / np.timedelta64(1, "h") + 0.999)
        total = 0.0
        for hour in first + np.arange(hours):
            told = self.rain[self._inside(hour, hour + np.timedelta64(1, "h"))]
            known = told[~np.isnan(told)]
            if not known.size:
                return NAN
            # Reports between the hours repeat what has fallen so far.
            total += float(known.max())
        return total

    def wind_mph(self, start_utc: datetime) -> float:
        """Mean of the reports in the hour [mph]."""
        start = seconds_utc(start_utc)
        told = self.wind[self._inside(start, start + np.timedelta64(1, "h"))]
        known = told[~np.isnan(told)]
        return float(known.mean()) if known.size else NAN

    def _unbroken(self, start_utc: datetime, end_utc: datetime) -> Floats:
        start, end = seconds_utc(start_utc), seconds_utc(end_utc)
        mine = self._inside(start, end) & ~np.isnan(self.temp_f)
        edges = np.concatenate([[start], self.time_utc[mine], [end]])
        gaps = np.diff(edges) / np.timedelta64(1, "m")
        return self.temp_f[mine] if gaps.max() <= LONGEST_GAP_MIN else np.empty(0)

    def _inside(self, start: np.datetime64, end: np.datetime64) -> npt.NDArray[np.bool_]:
        return np.asarray((self.time_utc >= start) & (self.time_utc < end))


def seconds_utc(moment: datetime) -> np.datetime64:
    """An aware moment as the times of reports are kept: UTC, to the second."""
    return np.datetime64(moment.astimezone(UTC).replace(tzinfo=None), "s")


def _midnight(moment: datetime) -> bool:
    return (moment.hour, moment.minute) == (0, 0)
