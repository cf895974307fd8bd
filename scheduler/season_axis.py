"""The hours of a season view: local days, midnight lines, and the windows across all strips."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from dispatch.report import Call, FieldCall, SeasonStrip
from dispatch.words import WEEKDAYS, LocalClock, day
from scheduler.season_ink import DEEP, INK, MID, NAME_PT, PALE, QUIET, SMALL_PT, Run, runs_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes

#: Shortest stretch of a day that its date is written on, and its weekday alone [h].
DATED_H, NAMED_H = 14, 7


@dataclass(frozen=True)
class HourAxis:
    """Hours counted from the start of the strip, as they are told on the field's clock."""

    strip: SeasonStrip
    clock: LocalClock

    @property
    def hours(self) -> int:
        """Length of the axis [h]."""
        return len(self.strip.temp_f)

    def moment(self, hour: int) -> datetime:
        """Start of an hour."""
        return self.strip.start_utc + timedelta(hours=hour)

    def hour_at(self, moment_utc: datetime) -> float:
        """Where a moment stands on the axis [h]."""
        return (moment_utc - self.strip.start_utc) / timedelta(hours=1)

    def days(self) -> list[Run]:
        """The local days, each with its date."""
        return runs_of([self.clock.local(self.moment(hour)).date() for hour in range(self.hours)])

    def starts_at(self, clock_hour: int) -> list[int]:
        """Hours whose local clock reads a time of day."""
        return [
            hour
            for hour in range(self.hours)
            if self.clock.local(self.moment(hour)).hour == clock_hour
        ]


def draw_days(axes: "Axes", axis: HourAxis) -> None:
    """Midnight lines through every strip, names of days below, noon and 6 o'clock as ticks."""
    days = axis.days()
    for one in days[1:]:
        axes.axvline(one.start_h, color=MID, linewidth=0.8, zorder=0.5)
    named = [one for one in days if one.hours >= NAMED_H]
    for one in named:
        axes.annotate(
            _day_name(one),
            (one.middle_h, 0),
            xycoords=("data", "axes fraction"),
            xytext=(0, -27),
            textcoords="offset points",
            ha="center",
            fontsize=NAME_PT,
            fontweight="bold",
        )
    noons = axis.starts_at(12)
    axes.set_xticks(noons, ["noon"] * len(noons))
    axes.set_xticks([*axis.starts_at(6), *axis.starts_at(18)], minor=True)
    axes.tick_params(axis="x", length=4, width=0.8, color=DEEP)
    axes.tick_params(axis="x", which="minor", length=2.5, width=0.6, color=DEEP)


def _day_name(one: Run) -> str:
    assert isinstance(one.value, date)
    return day(one.value) if one.hours >= DATED_H else WEEKDAYS[one.value.weekday()]


def draw_windows(axes: "Axes", axis: HourAxis, one: FieldCall) -> None:
    """Full windows filled, parts of windows outlined, across every strip, lettered on top.

    Where the call is not to spray, they are what the weather alone would allow: shown faintly.
    """
    acting = one.call in (Call.SPRAY, Call.SHORT)
    windows = [run for run in runs_of(axis.strip.spray) if run.value in ("full", "partial")]
    for run in windows:
        full = run.value == "full"
        axes.axvspan(
            run.start_h,
            run.end_h,
            facecolor=PALE if full else "none",
            edgecolor=DEEP if acting else MID,
            linewidth=1.4 if acting else 0.8,
            linestyle="-" if full else (0, (4, 2)),
            alpha=1.0,
            zorder=0.3,
            clip_on=False,
        )
    for on in axis.days():
        mine = [run for run in windows if on.start_h <= run.start_h < on.end_h]
        if mine:
            _letter(axes, axis, mine, acting)


def _letter(axes: "Axes", axis: HourAxis, mine: list[Run], acting: bool) -> None:
    lines = []
    for run in mine:
        kind = {"full": "full window", "partial": "part window"}[str(run.value)]
        start, end = axis.moment(run.start_h), axis.moment(run.end_h)
        lines.append(f"{kind if acting else 'weather allows'}\n{_between(axis.clock, start, end)}")
    axes.annotate(
        "\n".join(lines),
        ((mine[0].start_h + mine[-1].end_h) / 2, 1),
        xycoords=("data", "axes fraction"),
        xytext=(0, 3),
        textcoords="offset points",
        ha="center",
        va="bottom",
        fontsize=SMALL_PT,
        fontweight="bold" if acting and mine[0].value == "full" else "normal",
        color=INK if acting else QUIET,
        linespacing=1.15,
    )


def _between(clock: LocalClock, start: datetime, end: datetime) -> str:
    first, last = clock.hour(start), clock.hour(end)
    half = first[-3:]
    return f"{first.removesuffix(half) if last.endswith(half) else first}-{last}"
