"""The nights ahead of a field: their odds of freezing, of killing, and of rain."""

from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta

from dispatch.report import SeasonNight, SeasonStrip
from dispatch.words import LocalClock, chance, day
from web.field_hours import HOUR, percent
from web.field_view import FieldView
from web.units import shown

#: Evening and morning between which a night's rain is looked for. Judgement.
EVENING, MORNING = time(18), time(8)
#: Width of the scale the lows are drawn on [units of its drawing], and its ends beside the lows
#: and lines [F].
SCALE_WIDE, ROOM_F = 100.0, 3.0


@dataclass(frozen=True)
class NightRow:
    """One night. ``at`` is where its low stands on the scale, None where none is told."""

    night: str
    low: str
    at: float | None
    freeze: str
    freeze_pct: float
    killing: str
    killing_pct: float
    rain: str


@dataclass(frozen=True)
class Nights:
    """The nights from now on, and where the lines stand on the scale of their lows."""

    rows: tuple[NightRow, ...]
    freeze_at: float
    killing_at: float
    freeze: str
    killing: str


def nights_ahead(view: FieldView) -> Nights | None:
    """The nights whose morning is still to come; None where the morning saw none."""
    season, clock = view.one.season, view.clock
    if season is None or not view.of_today:
        return None
    ahead = [night for night in season.nights if night.low_utc >= view.since.now]
    if not ahead:
        return None
    told = [night.low_f for night in ahead if night.low_f is not None]
    told += [season.freeze_f, season.killing_f]
    least, most = min(told) - ROOM_F, max(told) + ROOM_F

    def at(value_f: float) -> float:
        return round((value_f - least) / (most - least) * SCALE_WIDE, 1)

    return Nights(
        rows=tuple(
            NightRow(
                night=f"to {day(clock.local(one.low_utc).date())}",
                low="by climate" if one.low_f is None else shown(one.low_f, "temp", view.units),
                at=None if one.low_f is None else at(one.low_f),
                freeze=chance(one.freeze_pct),
                freeze_pct=one.freeze_pct,
                killing=chance(one.killing_pct),
                killing_pct=one.killing_pct,
                rain=_rain(season, one, clock),
            )
            for one in ahead
        ),
        freeze_at=at(season.freeze_f),
        killing_at=at(season.killing_f),
        freeze=shown(season.freeze_f, "temp", view.units),
        killing=shown(season.killing_f, "temp", view.units),
    )


def _rain(season: SeasonStrip, night: SeasonNight, clock: LocalClock) -> str:
    """The highest chance of rain told for hours of a night; what is not told is said."""
    on = clock.local(night.low_utc).date()
    evening, morning = (
        datetime.combine(of, at, clock.zone).astimezone(UTC)
        for of, at in ((on - timedelta(days=1), EVENING), (on, MORNING))
    )
    first = max(0, (evening - season.start_utc) // HOUR)
    after = (morning - season.start_utc) // HOUR
    hours = season.rain_chance_pct[first:after]
    told = [one for one in hours if one is not None]
    if not told:
        return "?"
    whole = len(told) == len(hours) and after <= len(season.rain_chance_pct)
    return percent(max(told)) if whole else f"at least {percent(max(told))}"
