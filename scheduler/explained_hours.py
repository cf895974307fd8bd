"""The gates of each hour of the day."""

from datetime import datetime, timedelta

from dispatch.report import FieldCall, HourStrip
from dispatch.words import LocalClock, temp
from scheduler.damp_air_lines import damp_air_lines
from scheduler.section import Section

#: Hours listed, from the hour the morning was made [h].
HOURS_SHOWN = 24

_STARTS = {
    "full": "yes, a full window",
    "partial": "yes, but not for a full window",
    "no": "no",
    "unknown": "not known",
}


def hours_section(one: FieldCall, clock: LocalClock, made_utc: datetime) -> Section:
    """Whether spraying may start in each of the next hours, and the first gate in the way."""
    strip = one.strip
    if strip is None:
        return Section("", ())
    first = max(0, int((made_utc - strip.start_utc).total_seconds() // 3600))
    last = min(len(strip.spray), first + HOURS_SHOWN)
    rows = tuple(_row(strip, hour, clock) for hour in range(first, last))
    headers = ["hour", "may start", "in the way", "temp", "wind mph", "rain chance"]
    headers += [name for name, told in _more(strip) if told]
    lines = damp_air_lines(strip, first, last, clock)
    return Section("The next hours", lines, tuple(headers), rows)


def _row(strip: HourStrip, hour: int, clock: LocalClock) -> tuple[str, ...]:
    warm, wind = strip.temp_f[hour], strip.wind_mph[hour]
    return (
        clock.moment(strip.start_utc + timedelta(hours=hour)),
        _STARTS[strip.spray[hour]],
        strip.why_not[hour],
        "?" if warm is None else temp(warm),
        "?" if wind is None else f"{wind:.0f}",
        _percent(strip.rain_chance_pct[hour]),
        *(_percent(told[hour]) for _, told in _more(strip) if told),
    )


def _more(strip: HourStrip) -> tuple[tuple[str, tuple[float | None, ...]], ...]:
    """Quantities that records made before them do not hold."""
    return ("humidity", strip.humidity_pct), ("cloud", strip.sky_pct)


def _percent(value: float | None) -> str:
    return "?" if value is None else f"{value:.0f} %"
