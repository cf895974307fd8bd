"""The strips of a season view, one function each: temperature, freeze odds, rain, wind."""

from collections.abc import Sequence
from math import nan
from typing import TYPE_CHECKING, Any

from dispatch.report import FieldCall
from dispatch.words import amount, chance, temp
from scheduler.season_axis import HourAxis
from scheduler.season_ink import (
    DEEP,
    INK,
    LABEL_PT,
    MID,
    NAME_PT,
    PAPER,
    QUIET,
    SMALL_PT,
    runs_of,
)

if TYPE_CHECKING:
    from matplotlib.axes import Axes

#: Width of the bar of a night, below the dot of its low [h].
NIGHT_BAR_H = 8
#: Shortest unknown end of a strip that is told as past the forecast [h].
PAST_FORECAST_H = 20
#: Longest unknown end that is hatched only, for want of room [h].
CROWDED_H = 2


def draw_temperature(axes: "Axes", axis: HourAxis) -> None:
    """The line, the freeze and killing lines, and the low of each night at the field."""
    strip = axis.strip
    name_strip(axes, "Temperature", "F; dots are night\nlows at the field")
    lows = [night.low_f for night in strip.nights if night.low_f is not None]
    told = [*lows, *(one for one in strip.temp_f if one is not None)]
    bottom = min([strip.killing_f, *told]) - 9
    axes.set_ylim(bottom, max([strip.freeze_f + 20, *told]) + 4)
    axes.axhline(strip.freeze_f, color=DEEP, linewidth=0.9)
    beside(axes, strip.freeze_f, f"{amount(strip.freeze_f)}F freeze", above=True)
    axes.axhline(strip.killing_f, color=DEEP, linewidth=0.9, linestyle=(0, (2, 1.5)))
    beside(axes, strip.killing_f, f"{amount(strip.killing_f)}F killing", above=False)
    draw_line(axes, strip.temp_f)
    hatch_unknown(axes, strip.temp_f)
    for night in strip.nights:
        if night.low_f is None:
            continue
        place = (axis.hour_at(night.low_utc) + 0.5, night.low_f)
        axes.plot(*place, marker="o", markersize=5, color=INK, zorder=4)
        axes.annotate(
            temp(night.low_f),
            place,
            xytext=(0, -6),
            textcoords="offset points",
            ha="center",
            va="top",
            fontsize=LABEL_PT,
            fontweight="bold",
            bbox={"boxstyle": "square,pad=0.1", "facecolor": PAPER, "edgecolor": "none"},
            zorder=5,
        )


def draw_freeze(axes: "Axes", axis: HourAxis, one: FieldCall) -> None:
    """A bar for each night: the odds of a freeze, and dark in it those of a killing one."""
    name_strip(axes, "Freeze odds", "in 100, that night;\ndark: killing freeze")
    axes.set_ylim(0, 135)
    axes.set_yticks([])
    for night in axis.strip.nights:
        middle = axis.hour_at(night.low_utc) + 0.5
        axes.bar(middle, night.freeze_pct, NIGHT_BAR_H, color=MID, edgecolor=DEEP, linewidth=0.8)
        axes.bar(middle, night.killing_pct, NIGHT_BAR_H, color=DEEP)
        axes.text(
            middle,
            night.freeze_pct + 6,
            odds(night.freeze_pct),
            ha="center",
            va="bottom",
            fontsize=NAME_PT,
            fontweight="bold",
        )
    if one.freeze.chance_7d_pct is not None:
        beside(axes, 60, f"{chance(one.freeze.chance_7d_pct)}\nwithin 7 days")


def odds(value_pct: float) -> str:
    """Odds of 100 in as few letters as a bar has room for, never claiming certainty."""
    if value_pct < 1:
        return "<1"
    return ">99" if value_pct > 99 else f"{value_pct:.0f}"


def draw_rain(axes: "Axes", axis: HourAxis) -> None:
    """Chance of rain in steps, and the chance that counts as rain."""
    strip = axis.strip
    name_strip(axes, "Rain chance", "%")
    axes.set_ylim(0, 108)
    axes.set_yticks([0, 50, 100])
    told = [nan if one is None else one for one in strip.rain_chance_pct]
    edges = list(range(axis.hours + 1))
    axes.stairs(told, edges, fill=True, facecolor=MID, edgecolor="none")
    axes.stairs(told, edges, color=DEEP, linewidth=1.0)
    axes.axhline(strip.rain_chance_max_pct, color=DEEP, linewidth=0.9, linestyle=(0, (2, 1.5)))
    beside(
        axes, strip.rain_chance_max_pct, f"{amount(strip.rain_chance_max_pct)} %: counts\nas rain"
    )
    hatch_unknown(axes, strip.rain_chance_pct)


def draw_wind(axes: "Axes", axis: HourAxis) -> None:
    """The line over the band in which spraying is allowed."""
    strip = axis.strip
    name_strip(axes, "Wind", "mph")
    told = [one for one in strip.wind_mph if one is not None]
    axes.set_ylim(0, max([strip.wind_max_mph + 4, *told]) * 1.08)
    axes.axhspan(strip.wind_min_mph, strip.wind_max_mph, facecolor=MID, alpha=0.35, linewidth=0)
    low, high = amount(strip.wind_min_mph), amount(strip.wind_max_mph)
    beside(axes, (strip.wind_min_mph + strip.wind_max_mph) / 2, f"{low}-{high} mph\nallowed")
    draw_line(axes, strip.wind_mph)
    hatch_unknown(axes, strip.wind_mph)


def draw_line(axes: "Axes", values: Sequence[float | None]) -> None:
    """One value an hour, at its middle; an unknown hour leaves a gap."""
    middles = [hour + 0.5 for hour in range(len(values))]
    told = [nan if one is None else one for one in values]
    axes.plot(middles, told, color=DEEP, linewidth=1.8, zorder=3, solid_capstyle="round")


def hatch_unknown(axes: "Axes", values: Sequence[float | None]) -> None:
    """Hours that are not known, hatched and marked ``?``."""
    for run in runs_of([one is None for one in values]):
        if not run.value:
            continue
        axes.axvspan(
            run.start_h, run.end_h, facecolor=PAPER, edgecolor=MID, hatch="////", linewidth=0.0
        )
        past = run.end_h == len(values)
        if past and run.hours <= CROWDED_H:
            continue
        axes.text(
            run.middle_h,
            0.5,
            "? past the forecast" if past and run.hours >= PAST_FORECAST_H else "?",
            transform=axes.get_xaxis_transform(),
            ha="center",
            va="center",
            fontsize=LABEL_PT,
            fontweight="bold",
            bbox={"boxstyle": "square,pad=0.15", "facecolor": PAPER, "edgecolor": "none"},
            zorder=6,
        )


def name_strip(axes: "Axes", name: str, unit: str) -> None:
    """The strip's name at its left, with its unit below."""
    at: dict[str, Any] = {
        "xycoords": "axes fraction",
        "textcoords": "offset points",
        "annotation_clip": False,
    }
    axes.annotate(
        name,
        (0, 1),
        xytext=(-122, -2),
        ha="left",
        va="top",
        fontsize=NAME_PT + 1,
        fontweight="bold",
        **at,
    )
    axes.annotate(
        unit, (0, 1), xytext=(-122, -16), ha="left", va="top", fontsize=SMALL_PT, color=QUIET, **at
    )


def beside(axes: "Axes", height: float, words: str, *, above: bool | None = None) -> None:
    """Words at the right end of a strip, at a height of it or just above or below."""
    axes.annotate(
        words,
        (1, height),
        xycoords=("axes fraction", "data"),
        xytext=(6, 0),
        textcoords="offset points",
        va="center" if above is None else "bottom" if above else "top",
        fontsize=SMALL_PT,
        color=INK,
        annotation_clip=False,
    )
