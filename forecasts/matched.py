"""What issues of a forecast told of a place, beside what was observed there."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import numpy.typing as npt

from agronomy.hourly_forecast import CellForecast, HourlyForecast, on_common_hours, whole_hour
from agronomy.nights import Nights, nights_of
from agronomy.rain_odds import washing_chance_pct
from agronomy.sun import sun_hours
from forecasts.observed import Observed, ObservedReports

#: Local hours between which a day's high comes.
HIGH_FROM, HIGH_TO = time(7), time(21)
#: Local hours in which the wind is compared: those in which rigs spray.
WIND_FROM, WIND_TO = time(8), time(18)
#: Days ahead that are compared [days].
DAYS_AHEAD = 9
#: Longest an answer may have lain before it was fetched to count as a forecast of that day [h].
ISSUE_MAX_AGE_H = 24


@dataclass(frozen=True)
class WatchedPlace:
    """Where something was observed; ``cold_spot_f`` [F] is the field's at night, 0 elsewhere."""

    latitude: float
    longitude: float
    zone: ZoneInfo
    cold_spot_f: float = 0.0


@dataclass(frozen=True, eq=False)
class Pairs:
    """Told and observed, arrays of one length.

    ``issue`` numbers the issues, ``lead_days`` counts days ahead of when it was fetched (for
    nights: dawns ahead, 0 the next one), ``on`` is the local date, ``observed`` NaN where it is
    not known.
    """

    issue: npt.NDArray[np.int64]
    lead_days: npt.NDArray[np.int64]
    on: npt.NDArray[np.datetime64]
    told: npt.NDArray[np.float64]
    observed: npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Matched:
    """All pairs of a place.

    ``lows`` and ``highs`` [F], ``wind`` by the hour [mph], ``rain`` the chance of a day in percent
    beside that day's rain [inch]. ``first_night`` is, by issue, the first night that could catch
    a spray; ``fetched_utc`` when each issue was fetched.
    """

    lows: Pairs
    highs: Pairs
    wind: Pairs
    rain: Pairs
    first_night: npt.NDArray[np.int64]
    fetched_utc: tuple[datetime, ...]


Row = tuple[int, int, date, float, float]


def first_of_each_day(issues: Iterable[CellForecast], zone: ZoneInfo) -> list[CellForecast]:
    """The first forecast fetched on each local date, in the order of time.

    Answers that were stale or without an issue time when they came are left out.
    """
    by_day: dict[date, CellForecast] = {}
    for one in sorted(issues, key=lambda one: one.fetched_utc):
        if one.issued_utc is None:
            continue
        if one.fetched_utc - one.issued_utc <= timedelta(hours=ISSUE_MAX_AGE_H):
            by_day.setdefault(one.fetched_utc.astimezone(zone).date(), one)
    return list(by_day.values())


def matched(
    issues: Iterable[CellForecast], place: WatchedPlace, observed: Observed, now: datetime
) -> Matched:
    """Pair every night, day and hour that issues told with what was observed.

    A night's low is that of its hours where all are told, and of the provider's own night low;
    where an hour is missing the latter alone; as the morning sees them, cold spot included.
    Nights and days that are not over by ``now`` are left out.
    """
    rows: dict[str, list[Row]] = {"lows": [], "highs": [], "wind": [], "rain": []}
    first_night, fetched = [], []
    for number, issue in enumerate(issues):
        told = _Told.of(issue, place)
        first_night.append(int(told.nights.first[0]))
        fetched.append(issue.fetched_utc)
        for name, found in (
            ("lows", told.lows(observed, now)),
            ("highs", told.highs(observed, now)),
            ("wind", told.wind(observed, now)),
            ("rain", told.rain(observed, now)),
        ):
            rows[name] += [(number, *one) for one in found]
    return Matched(
        **{name: _pairs(found) for name, found in rows.items()},
        first_night=np.array(first_night, dtype=np.int64),
        fetched_utc=tuple(fetched),
    )


def _pairs(rows: list[Row]) -> Pairs:
    issue, lead, on, told, observed = zip(*rows, strict=True) if rows else ((),) * 5
    return Pairs(
        np.array(issue, dtype=np.int64),
        np.array(lead, dtype=np.int64),
        np.array(on, dtype="datetime64[D]"),
        np.array(told, dtype=float),
        np.array(observed, dtype=float),
    )


@dataclass(frozen=True, eq=False)
class _Told:
    """One issue on the grid of hours it had ahead when it was fetched."""

    place: WatchedPlace
    fetched_utc: datetime
    forecast: HourlyForecast
    nights: Nights

    @classmethod
    def of(cls, issue: CellForecast, place: WatchedPlace) -> "_Told":
        start = whole_hour(issue.fetched_utc.astimezone(UTC))
        grid = on_common_hours([(issue.cell_id, issue, "")], start)
        sun = sun_hours(np.array([place.latitude]), np.array([place.longitude]), start, grid.hours)
        nights = nights_of(
            grid.temp_f, grid.window_low_f, sun.daylight, sun.dawn_h, [place.cold_spot_f], [32.0]
        )
        return cls(place, issue.fetched_utc, grid, nights)

    def lows(self, observed: Observed, now: datetime) -> Iterator[tuple[int, date, float, float]]:
        known = ~np.isnan(self.forecast.temp_f[0])
        for night, end_h in enumerate(self.nights.end_h[0].tolist()):
            if end_h > self.forecast.hours or night > DAYS_AHEAD:
                return
            # Of the night that is ending only the provider's own low tells the hours gone by.
            whole = night >= self.nights.first[0] and known[self.nights.of_hour[0] == night].all()
            low = self.nights.low_f if whole else self.nights.issued_low_f
            end = self.forecast.hour_utc(end_h)
            if end <= now and not np.isnan(low[0, night]):
                seen = observed.low_f(end - timedelta(hours=24), end)
                yield night, self._date(end), float(low[0, night]), seen

    def highs(self, observed: Observed, now: datetime) -> Iterator[tuple[int, date, float, float]]:
        for lead, on, start, end in self._days(HIGH_FROM, HIGH_TO, now):
            temps = self.forecast.temp_f[0, self._hours(start, end)]
            if temps.size and not np.isnan(temps).any():
                yield lead, on, float(temps.max()), observed.high_f(start, end)

    def wind(self, observed: Observed, now: datetime) -> Iterator[tuple[int, date, float, float]]:
        if not isinstance(observed, ObservedReports):
            return
        for lead, on, start, end in self._days(WIND_FROM, WIND_TO, now):
            mine = self._hours(start, end)
            for hour, wind in enumerate(self.forecast.wind_mph[0, mine].tolist()):
                if wind == wind:
                    seen = observed.wind_mph(start + timedelta(hours=hour))
                    yield lead, on, wind, seen

    def rain(self, observed: Observed, now: datetime) -> Iterator[tuple[int, date, float, float]]:
        interval = self.forecast.rain_chance_from_h
        chance = np.where(np.isnan(interval), np.nan, self.forecast.rain_chance_pct)
        of_day: dict[int, npt.NDArray[np.float64]] = {}
        for lead, on, start, end in self._days(time(0), time(0), now):
            mine = self._hours(start, end)
            hours = mine.stop - mine.start
            if hours <= 1:
                continue
            if hours not in of_day:
                of_day[hours] = washing_chance_pct(chance, interval, hours - 1)[0]
            told = float(of_day[hours][mine.start])
            if told == told:
                yield lead, on, told, observed.rain_in(start, end)

    def _days(
        self, begins: time, ends: time, now: datetime
    ) -> Iterator[tuple[int, date, datetime, datetime]]:
        """Days ahead that are over: lead, date, first moment and end."""
        today = self._date(self.fetched_utc)
        for lead in range(DAYS_AHEAD + 1):
            on = today + timedelta(days=lead)
            start = self._moment(on, begins)
            end = self._moment(on + timedelta(days=ends <= begins), ends)
            if end <= now:
                yield lead, on, start, end

    def _hours(self, start: datetime, end: datetime) -> slice:
        """The hours of a span on the grid, none where some of them lie off it."""
        first, last = (
            round((one - self.forecast.start_utc) / timedelta(hours=1)) for one in (start, end)
        )
        on_grid = first >= 0 and last <= self.forecast.hours
        return slice(first, last) if on_grid else slice(0, 0)

    def _moment(self, on: date, wall: time) -> datetime:
        return datetime.combine(on, wall, tzinfo=self.place.zone).astimezone(UTC)

    def _date(self, moment: datetime) -> date:
        return moment.astimezone(self.place.zone).date()
