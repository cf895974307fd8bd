"""Scores of forecasts as a picture in one ink: errors by days ahead, and odds against what came."""

from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from config.problem import ConfigError
from dispatch.words import plural
from scheduler.data_error import DataError
from scheduler.season_ink import DEEP, INK, MID, PALE, PAPER, QUIET, SMALL_PT, STYLE, TITLE_PT
from scheduler.verified import ERRORS_MIN, ODDS_MIN, LeadErrors, LeadOdds, SourceScores, Verified
from scheduler.verified_tables import too_few

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

#: Width, height of one source, and head of the picture [inch].
WIDTH_IN, SOURCE_IN, HEAD_IN = 13.0, 4.0, 0.85
#: Resolution of a PNG [dots an inch].
DOTS_AN_INCH = 130
#: Endings of the pictures that can be drawn.
PICTURES = (".png", ".svg")


def plot_verified(told: Verified, path: Path) -> None:
    """Draw the scores into a file that ends in ``.png`` or ``.svg``.

    Raises
    ------
    ConfigError
        matplotlib is not installed.
    DataError
        There is nothing to draw, the name has another ending, or it cannot be written.
    """
    form = path.suffix.lower()
    if form not in PICTURES:
        raise DataError([f"--plot: got {path.name}, wanted a name that ends in .png or .svg"])
    if not told.sources:
        raise DataError(["--plot: got no forecasts to draw, wanted some kept for this place"])
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
    picture = BytesIO()
    with rc_context(STYLE):
        height = HEAD_IN + SOURCE_IN * len(told.sources)
        figure = Figure(figsize=(WIDTH_IN, height), facecolor=PAPER)
        _draw(figure, told, height)
        nameless = {"Date": None} if form == ".svg" else {"Software": None}
        figure.savefig(picture, format=form[1:], dpi=DOTS_AN_INCH, metadata=nameless)
    try:
        path.write_bytes(picture.getvalue())
    except OSError as fault:
        raise DataError(
            [f"{path}: the picture cannot be written ({fault.strerror}); name another file"]
        ) from fault


def _draw(figure: "Figure", told: Verified, height: float) -> None:
    figure.text(
        0.03,
        1 - 0.32 / height,
        "Forecasts against what was observed",
        fontsize=TITLE_PT,
        fontweight="bold",
        va="center",
    )
    seen = "; ".join(one.words for one in told.places[:3])
    figure.text(0.03, 1 - 0.68 / height, seen, fontsize=SMALL_PT + 1, color=QUIET, va="center")
    for place, one in enumerate(told.sources):
        top = height - HEAD_IN - SOURCE_IN * place
        axes = [
            figure.add_axes((left, (top - 3.4) / height, 0.255, 2.95 / height))
            for left in (0.055, 0.385, 0.715)
        ]
        _errors(axes[0], one)
        _reliability(axes[1], one.freeze[-1], "Odds of a freeze, each night")
        _reliability(axes[2], one.rain[-1], "Chance of rain, each day")


def _errors(axes: "Axes", one: SourceScores) -> None:
    """Mean error and bias by days ahead, lows with full dots and highs with open ones."""
    axes.set_title(f"{one.source}, {plural(one.issues, 'morning')}", loc="left", fontsize=10)
    drawn = [
        _line(axes, one.lows, "lows", DEEP, "o", DEEP),
        _line(axes, one.highs, "highs", MID, "s", PAPER),
    ]
    if not any(drawn):
        most = max((lead.nights for lead in (*one.lows, *one.highs)), default=0)
        _note(axes, too_few(most))
        return
    axes.axhline(0, color=DEEP, linewidth=0.8)
    axes.set_xlabel("days ahead")
    axes.set_ylabel("F")
    axes.grid(axis="y", color=PALE, linewidth=0.8)
    axes.legend(frameon=False, fontsize=SMALL_PT, ncols=2, loc="upper left")
    low, high = axes.get_ylim()
    axes.set_ylim(low, high + 0.3 * (high - low))


def _line(
    axes: "Axes", leads: tuple[LeadErrors, ...], name: str, ink: str, dot: str, fill: str
) -> bool:
    full = [one for one in leads if one.nights >= ERRORS_MIN]
    days = [one.lead_days for one in full]
    for words, style, values in (
        ("mean error", "-", [one.scores.mae for one in full]),
        ("bias", ":", [one.scores.bias for one in full]),
    ):
        if full:
            axes.plot(
                days,
                values,
                style,
                color=ink,
                marker=dot,
                markersize=5,
                markerfacecolor=fill,
                label=f"{words}, {name}",
            )
    return bool(full)


def _reliability(axes: "Axes", one: LeadOdds, title: str) -> None:
    """Share that came against the odds told; the larger the dot, the more cases."""
    axes.set_title(title, loc="left", fontsize=10)
    if one.nights < ODDS_MIN:
        _note(axes, too_few(one.nights))
        return
    table = one.scores.reliability
    full = table.n >= ERRORS_MIN
    told, came = 100 * table.told_frac[full], 100 * table.came_frac[full]
    spans = np.abs(100 * np.stack([table.low_frac[full], table.high_frac[full]]) - came)
    axes.plot([0, 100], [0, 100], "--", color=MID, linewidth=1, label="as told")
    axes.errorbar(told, came, spans, fmt="none", ecolor=MID, elinewidth=1.2)
    size = 20 + 180 * table.n[full] / table.n.max()
    axes.scatter(told, came, size, color=DEEP, zorder=3)
    for at, share, n in zip(told, came, table.n[full], strict=True):
        beside = (9, -11 if share > 8 else 6)
        axes.annotate(
            f"{n}", (at, share), beside, textcoords="offset points", fontsize=7, color=QUIET
        )
    axes.set(xlim=(-4, 104), ylim=(-4, 104), xlabel="told [in 100]", ylabel="came [in 100]")
    axes.legend(frameon=False, fontsize=SMALL_PT, loc="lower right")
    words = f"n = {one.scores.n} over {one.nights} dates, Brier {one.scores.brier:.3f}"
    axes.text(0, 97, words, fontsize=SMALL_PT, color=INK, va="top")


def _note(axes: "Axes", words: str) -> None:
    axes.set_xticks([])
    axes.set_yticks([])
    axes.text(0.5, 0.5, words, ha="center", va="center", color=QUIET, transform=axes.transAxes)
