"""The gates of each hour as rows of cells, and the effect of spraying in it."""

from math import nan
from typing import TYPE_CHECKING, Any

from dispatch.report import Factors, FieldCall
from dispatch.words import amount
from scheduler.season_axis import HourAxis
from scheduler.season_ink import (
    DEEP,
    INK,
    LABEL_PT,
    MID,
    NAME_PT,
    PALE,
    PAPER,
    QUIET,
    SMALL_PT,
    Run,
    runs_of,
)
from scheduler.season_strips import beside, name_strip

if TYPE_CHECKING:
    from matplotlib.axes import Axes

#: Shortest run of cells that "yes" or "no" is written into [h].
LETTERED_H = 5


def draw_gates(axes: "Axes", axis: HourAxis, one: FieldCall) -> None:
    """Three rows of cells, dark for yes, pale for no, hatched with ``?`` for not known."""
    strip = axis.strip
    rows = (
        ("Workable", strip.workable),
        (f"Dry {amount(one.rain_free_needed_h)} h after", strip.dry),
        (f"{strip.freeze_free_days} nights free", strip.free),
    )
    axes.set_ylim(len(rows), 0)
    axes.set_yticks([])
    for place, (name, letters) in enumerate(rows):
        axes.annotate(
            name,
            (0, place + 0.5),
            xycoords=("axes fraction", "data"),
            xytext=(-122, 0),
            textcoords="offset points",
            va="center",
            fontsize=NAME_PT,
            fontweight="bold",
            annotation_clip=False,
        )
        _cells(axes, runs_of(letters), place)


def _cells(axes: "Axes", runs: list[Run], place: int) -> None:
    lettered: set[object] = set()
    for run in runs:
        shade = {"y": DEEP, "n": PALE, "?": PAPER}[str(run.value)]
        axes.broken_barh(
            [(run.start_h, run.hours)],
            (place + 0.12, 0.76),
            facecolor=shade,
            edgecolor=MID,
            linewidth=0.5,
            hatch="////" if run.value == "?" else None,
        )
        first = run.value not in lettered and run.hours >= LETTERED_H
        if not (first or (run.value == "?" and run.hours > 1)):
            continue
        lettered.add(run.value)
        axes.text(
            run.middle_h,
            place + 0.5,
            {"y": "yes", "n": "no", "?": "?"}[str(run.value)],
            ha="center",
            va="center_baseline",
            fontsize=SMALL_PT - 0.5,
            fontweight="bold",
            color=PAPER if run.value == "y" else INK,
        )


def draw_effect(axes: "Axes", axis: HourAxis, one: FieldCall) -> None:
    """Effect of spraying in each hour: strong inside windows, dashed where climate tells it."""
    strip = axis.strip
    name_strip(axes, "Effect", "of spraying in that\nhour, of 100 points")
    axes.set_ylim(0, 112)
    axes.set_yticks([0, 50, 100])
    middles = [hour + 0.5 for hour in range(axis.hours)]
    told = [nan if value is None else value for value in strip.effect_pct]
    if all(value is None for value in strip.effect_pct):
        axes.text(
            0.5,
            0.5,
            "not told while the call is not known",
            transform=axes.transAxes,
            ha="center",
            va="center",
            fontsize=LABEL_PT,
            fontweight="bold",
            color=QUIET,
        )
        return
    climate_h = min(axis.hours, max(0, round(axis.hour_at(strip.climate_from_utc))))
    quiet: dict[str, Any] = {"color": DEEP, "linewidth": 1.1, "zorder": 2}
    axes.plot(middles[:climate_h], told[:climate_h], **quiet)
    axes.plot(middles[climate_h:], told[climate_h:], linestyle=(0, (3, 2)), **quiet)
    if climate_h < axis.hours - LETTERED_H:
        beside(axes, told[-1] if told[-1] == told[-1] else 50, "dashed: told\nby climate")
    inside = [
        value if spray in ("full", "partial") else nan
        for value, spray in zip(told, strip.spray, strict=True)
    ]
    axes.plot(middles, inside, color=INK, linewidth=3.4, zorder=3, solid_capstyle="round")
    _mark(axes, axis, one.factors_now, "now", filled=True)
    _mark(axes, axis, one.factors_back, "from the back of the line", filled=False)


def _mark(axes: "Axes", axis: HourAxis, at: Factors | None, words: str, *, filled: bool) -> None:
    if at is None:
        return
    hour = axis.hour_at(at.start_utc) + 0.5
    if not 0 <= hour <= axis.hours:
        return
    axes.plot(
        hour,
        at.effect_pct,
        marker="o",
        markersize=7,
        color=INK,
        markerfacecolor=INK if filled else PAPER,
        markeredgewidth=1.5,
        zorder=5,
    )
    right = hour < axis.hours * 0.8
    axes.annotate(
        f"{at.effect_pct:.0f} {words}",
        (hour, at.effect_pct),
        xytext=(8 if right else -8, 5),
        textcoords="offset points",
        ha="left" if right else "right",
        va="bottom",
        fontsize=LABEL_PT,
        fontweight="bold",
        bbox={"boxstyle": "square,pad=0.1", "facecolor": PAPER, "edgecolor": "none"},
        zorder=6,
    )
