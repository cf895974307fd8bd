"""The season view of one field: the hours its forecast reaches as strips above one time axis.

Everything is drawn from the kept plan; nothing is worked out again.
"""

import warnings
from io import BytesIO
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING

from config.problem import ConfigError
from dispatch.words import age, amount, day
from notify.user_text import plain_line
from scheduler.data_error import DataError
from scheduler.explanation import CAUTION, Evidence, explain
from scheduler.plans import NoPlanError
from scheduler.season_axis import HourAxis, draw_days, draw_windows
from scheduler.season_gates import draw_effect, draw_gates
from scheduler.season_ink import PAPER, QUIET, REASON_PT, SMALL_PT, STYLE, TITLE_PT
from scheduler.season_strips import draw_freeze, draw_rain, draw_temperature, draw_wind

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

#: Width of the picture, its margins and the gap between strips [inch].
WIDTH_IN, LEFT_IN, RIGHT_IN, GAP_IN = 13.0, 1.95, 1.15, 0.16
#: Heights of the strips from top to bottom [inch].
STRIPS_IN = {
    "temperature": 2.15,
    "freeze": 0.85,
    "rain": 0.75,
    "wind": 0.95,
    "gates": 0.78,
    "effect": 1.25,
}
#: Room for the title above the strips and for days and caution below them [inch].
HEAD_IN, FOOT_IN = 1.6, 0.95
#: Resolution of a PNG [dots an inch].
DOTS_AN_INCH = 130
#: Letters of the first reason on one line, and lines of it shown.
REASON_LETTERS, REASON_LINES = 125, 2


def plot_season(told: Evidence, path: Path) -> None:
    """Draw the season of one field into a file.

    Parameters
    ----------
    told
        The kept plan and the field's call in it.
    path
        File to write, ending in ``.png`` or ``.svg``.

    Raises
    ------
    ConfigError
        matplotlib is not installed.
    NoPlanError
        The plan holds no hours of this field.
    DataError
        The file cannot be written.
    """
    axis = _axis(told)
    figure = _figure(told, axis)
    picture = BytesIO()
    from matplotlib import rc_context

    form = path.suffix.lower().removeprefix(".")
    with rc_context(STYLE), warnings.catch_warnings():
        # A name in letters that the font lacks is drawn with boxes; that is no fault to tell of.
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        nameless = {"Date": None} if form == "svg" else {"Software": None}
        figure.savefig(picture, format=form, dpi=DOTS_AN_INCH, metadata=nameless)
    try:
        path.write_bytes(picture.getvalue())
    except OSError as fault:
        raise DataError(
            [f"{path}: the picture cannot be written ({fault.strerror}); name another file"]
        ) from fault


def _axis(told: Evidence) -> HourAxis:
    strip = told.call.season
    if strip is not None:
        return HourAxis(strip, told.clock)
    name, on = plain_line(told.call.field.name), told.report.run.local_date
    standing = told.call.standing
    if standing != "open":
        why = (
            f"it is {standing}, and no hours are kept of {standing} fields; plot one that is "
            "in the order"
        )
    elif told.call.forecast.age_mark in ("very_old", "none"):
        why = "there was no forecast for it that could be shown; try again after the next morning"
    else:
        why = "the plan was kept before there was a season view; run warmspell morning --dry-run"
    raise NoPlanError(f"plan of {on}: nothing to plot for {name}: {why}")


def _figure(told: Evidence, axis: HourAxis) -> "Figure":
    try:
        from matplotlib import rc_context
        from matplotlib.figure import Figure
    except ImportError as fault:
        raise ConfigError(
            [
                "--plot: matplotlib is not installed, which draws the picture; "
                "run pip install 'warmspell[plots]'"
            ]
        ) from fault
    height = HEAD_IN + FOOT_IN + sum(STRIPS_IN.values()) + GAP_IN * (len(STRIPS_IN) - 1)
    with rc_context(STYLE):
        figure = Figure(figsize=(WIDTH_IN, height), facecolor=PAPER)
        behind = _place(figure, height, HEAD_IN, height - HEAD_IN - FOOT_IN, axis)
        behind.set_yticks([])
        draw_windows(behind, axis, told.call)
        draw_days(behind, axis)
        top, strips = HEAD_IN, {}
        for name, tall in STRIPS_IN.items():
            strips[name] = _place(figure, height, top, tall, axis)
            strips[name].tick_params(axis="x", bottom=False, labelbottom=False)
            strips[name].tick_params(axis="y", length=0)
            top += tall + GAP_IN
        draw_temperature(strips["temperature"], axis)
        draw_freeze(strips["freeze"], axis, told.call)
        draw_rain(strips["rain"], axis)
        draw_wind(strips["wind"], axis)
        draw_gates(strips["gates"], axis, told.call)
        draw_effect(strips["effect"], axis, told.call)
        _head(figure, height, told)
        figure.text(LEFT_IN / WIDTH_IN, 0.16 / height, CAUTION, fontsize=SMALL_PT + 1, color=QUIET)
    return figure


def _place(figure: "Figure", height: float, top: float, tall: float, axis: HourAxis) -> "Axes":
    """Axes ``top`` inches below the upper edge, all with the same hours."""
    left, wide = LEFT_IN / WIDTH_IN, (WIDTH_IN - LEFT_IN - RIGHT_IN) / WIDTH_IN
    axes = figure.add_axes((left, (height - top - tall) / height, wide, tall / height))
    axes.set_xlim(0, axis.hours)
    return axes


def _head(figure: "Figure", height: float, told: Evidence) -> None:
    """The call, its first reason, and whose forecast this is as of when."""
    one, run = told.call, told.report.run
    left = 0.25 / WIDTH_IN
    figure.text(
        left,
        1 - 0.3 / height,
        explain(told)[0].title,
        fontsize=TITLE_PT,
        fontweight="bold",
        va="center",
    )
    reason = plain_line(one.reasons[0]) if one.reasons else ""
    lines = wrap(reason, REASON_LETTERS, max_lines=REASON_LINES, placeholder=" ...")
    figure.text(left, 1 - 0.52 / height, "\n".join(lines), fontsize=REASON_PT, va="top")
    old = "" if one.forecast.age_h is None else f", {age(one.forecast.age_h)}"
    facts = (
        f"{amount(one.field.acres)} ac. As decided {day(run.local_date)}, "
        f"{told.clock.hour(run.made_utc)}. Forecast: {plain_line(one.forecast.source)}{old}."
    )
    below = 0.62 + 0.2 * max(1, len(lines))
    figure.text(left, 1 - below / height, facts, fontsize=SMALL_PT + 1, color=QUIET, va="top")
