"""The rules of a backtest as a picture in one ink: worth, acres caught, and season by season."""

from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from config.problem import ConfigError
from dispatch.season.run import OURS
from dispatch.season.score import RuleScore, differences
from scheduler.backtest import Backtest
from scheduler.data_error import DataError
from scheduler.season_ink import DEEP, INK, MID, PALE, PAPER, QUIET, SMALL_PT, STYLE, TITLE_PT

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

#: Width and height of the picture [inch].
SIZE_IN = (13.0, 5.2)
#: Resolution of a PNG [dots an inch].
DOTS_AN_INCH = 110
#: Rule our seasons are drawn against one by one.
AGAINST = "first mature first"


def plot_backtest(ran: Backtest, path: Path) -> None:
    """Draw the rules into a file that ends in ``.png`` or ``.svg``.

    Raises
    ------
    ConfigError
        matplotlib is not installed.
    DataError
        The file cannot be written.
    """
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
    form, picture = path.suffix.lower(), BytesIO()
    with rc_context(STYLE):
        figure = Figure(figsize=SIZE_IN, facecolor=PAPER)
        _draw(figure, ran)
        nameless = {"Date": None} if form == ".svg" else {"Software": None}
        figure.savefig(picture, format=form[1:], dpi=DOTS_AN_INCH, metadata=nameless)
    try:
        path.write_bytes(picture.getvalue())
    except OSError as fault:
        raise DataError(
            [f"{path}: the picture cannot be written ({fault.strerror}); name another file"]
        ) from fault


def _draw(figure: "Figure", ran: Backtest) -> None:
    figure.text(0.015, 0.94, "Rules on the same simulated seasons", fontsize=TITLE_PT)
    figure.text(
        0.015,
        0.885,
        f"{ran.seasons} seasons of {ran.fields} fields. Weather and the crop's response are "
        "simulated: read differences, not levels.",
        color=QUIET,
    )
    grid = figure.add_gridspec(
        1, 3, left=0.175, right=0.985, top=0.76, bottom=0.13, wspace=0.13, width_ratios=(3, 2.4, 3)
    )
    told = ran.scores
    worth, caught, single = (figure.add_subplot(grid[0, at]) for at in range(3))
    _worth(worth, ran, told)
    _caught(caught, told)
    _single(single, ran)


def _worth(axes: "Axes", ran: Backtest, told: tuple[RuleScore, ...]) -> None:
    for at, one in enumerate(told):
        seasons = np.array([each.worth_pct for each in ran.outcomes if each.rule == one.rule])
        low, high = np.percentile(seasons, (5, 95))
        ours = one.rule.startswith(OURS)
        axes.plot(
            [low, high], [at, at], color=DEEP if ours else MID, linewidth=2.2 if ours else 1.4
        )
        axes.plot(one.worth_pct, at, "o", color=INK if ours else PAPER, markeredgecolor=INK, ms=7)
        axes.annotate(f"{one.worth_pct:.1f}", (one.worth_pct, at - 0.2), ha="center", va="bottom")
    _rows(axes, [one.rule for one in told])
    axes.set_xlim(20, 102)
    axes.set_xlabel("share of a perfect spray [%]")
    axes.set_title("Worth: mean, and 90 of 100 seasons", loc="left", fontsize=10, pad=10)


def _caught(axes: "Axes", told: tuple[RuleScore, ...]) -> None:
    for at, one in enumerate(told):
        unripe = one.caught_pct - one.ripe_caught_pct
        axes.barh(at, one.ripe_caught_pct, height=0.5, color=DEEP)
        axes.barh(
            at, unripe, left=one.ripe_caught_pct, height=0.5, color=PALE, edgecolor=DEEP, lw=0.6
        )
        axes.annotate(
            f" {one.ripe_caught_pct:.1f} + {unripe:.1f}", (one.caught_pct, at), va="center"
        )
    _rows(axes, [""] * len(told))
    axes.set_xlim(0, 1.45 * max(one.caught_pct for one in told) + 0.1)
    axes.set_xlabel("share of acres [%]")
    axes.set_title("Never sprayed: ripe (dark) + unripe", loc="left", fontsize=10, pad=10)


def _single(axes: "Axes", ran: Backtest) -> None:
    behind = np.sort(differences(ran.outcomes, AGAINST))
    share = 100 * (np.arange(behind.size) + 0.5) / behind.size
    axes.axhline(0, color=QUIET, linewidth=0.8)
    axes.fill_between(share, 0, behind, step="mid", color=PALE, linewidth=0)
    axes.step(share, behind, where="mid", color=DEEP, linewidth=1.6)
    ahead = 100 * float((behind > 0).mean())
    axes.annotate(
        f"ahead in {ahead:.0f} of 100 seasons", (0.03, 0.94), xycoords="axes fraction", color=QUIET
    )
    axes.set_xlabel("seasons, worst for us first [%]")
    axes.tick_params(axis="y", labelsize=SMALL_PT)
    axes.set_title(f"Ours less {AGAINST} [points]", loc="left", fontsize=10, pad=10)


def _rows(axes: "Axes", names: list[str]) -> None:
    axes.set_yticks(range(len(names)), names)
    axes.set_ylim(len(names) - 0.5, -0.6)
    axes.tick_params(axis="y", length=0)
