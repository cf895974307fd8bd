"""The hours ahead of a field: what each allows, and its weather."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from dispatch.report import Call, SprayHour
from dispatch.words import LocalClock
from notify.hour_strip import SAID
from web.field_view import FieldView
from web.units import Units, shown

HOUR = timedelta(hours=1)


@dataclass(frozen=True)
class Hours:
    """Hours from ``start_utc`` on, one entry each; ``spray`` is empty where no call stands.

    ``faint`` marks what the weather would allow of a field that is not called.
    """

    start_utc: datetime
    spray: tuple[SprayHour, ...]
    why_not: tuple[str, ...]
    temp_f: tuple[float | None, ...]
    wind_mph: tuple[float | None, ...]
    rain_pct: tuple[float | None, ...]
    effect_pct: tuple[float | None, ...]
    faint: bool
    freeze_f: float
    killing_f: float
    wind_band_mph: tuple[float, float]
    lows: tuple[tuple[datetime, float], ...]

    def __len__(self) -> int:
        return len(self.temp_f)

    def moment(self, hour: int) -> datetime:
        """Start of an hour."""
        return self.start_utc + hour * HOUR

    def may_start(self, hour: int) -> str:
        """What an hour allows, in words; "" where no call stands."""
        if not self.spray:
            return ""
        said = SAID[self.spray[hour]]
        windows = self.spray[hour] in ("full", "partial")
        return f"weather allows: {said}" if self.faint and windows else said


def hours_ahead(view: FieldView) -> Hours | None:
    """The hours from now on as the morning saw them; None where it saw none, or is not today's."""
    season = view.one.season
    if season is None or not view.of_today:
        return None
    first = max(0, (view.since.now - season.start_utc) // HOUR)
    if first >= len(season.temp_f):
        return None
    start = season.start_utc + first * HOUR
    told = view.one.strip
    why = () if told is None or told.start_utc != season.start_utc else told.why_not[first:]
    stands = not view.gone and not view.one.held_for_harvest
    return Hours(
        start_utc=start,
        spray=season.spray[first:] if stands else (),
        why_not=why if stands else (),
        temp_f=season.temp_f[first:],
        wind_mph=season.wind_mph[first:],
        rain_pct=season.rain_chance_pct[first:],
        effect_pct=season.effect_pct[first:] if stands else (),
        faint=view.one.call is not Call.UNKNOWN and not view.acting,
        freeze_f=season.freeze_f,
        killing_f=season.killing_f,
        wind_band_mph=(season.wind_min_mph, season.wind_max_mph),
        lows=tuple(
            (night.low_utc, night.low_f)
            for night in season.nights
            if night.low_f is not None and night.low_utc >= start
        ),
    )


@dataclass(frozen=True)
class HourRow:
    """One hour in words."""

    when: str
    may_start: str
    why_not: str
    temp: str
    wind: str
    rain: str


def hour_rows(hours: Hours, clock: LocalClock, units: Units) -> tuple[HourRow, ...]:
    """Every hour ahead as a row of a table."""
    return tuple(
        HourRow(
            when=clock.moment(hours.moment(hour)),
            may_start=hours.may_start(hour),
            why_not=hours.why_not[hour] if hour < len(hours.why_not) else "",
            temp=shown(hours.temp_f[hour], "temp", units),
            wind=shown(hours.wind_mph[hour], "speed", units),
            rain=percent(hours.rain_pct[hour]),
        )
        for hour in range(len(hours))
    )


def percent(value_pct: float | None) -> str:
    """A share, ``?`` where it is not known."""
    return "?" if value_pct is None else f"{value_pct:.0f} %"
