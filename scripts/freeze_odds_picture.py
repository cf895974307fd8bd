"""The picture of the freeze odds: what froze by forecast low, and odds against what came."""

from pathlib import Path

import matplotlib
import numpy as np
import pandas as pd

from scripts.freeze_odds_page import scores_held_apart
from scripts.low_error_data import held_apart
from scripts.low_error_fit import LeadError, chance_of_freeze

matplotlib.use("Agg")
from matplotlib import pyplot as plt
from matplotlib.axes import Axes

HUE = "#1f4e79"
#: Lead drawn on the left: near the middle of what a forecast reaches.
LEAD = 3


def draw(file: Path, lows: pd.DataFrame, table: list[LeadError]) -> None:
    """Draw both panels into a PNG file."""
    figure, (left, right) = plt.subplots(1, 2, figsize=(10, 4.4), layout="constrained")
    _by_forecast(left, held_apart(lows, LEAD), table[LEAD])
    _reliability(right, lows, table)
    for axes in (left, right):
        axes.spines[["top", "right"]].set_visible(False)
    figure.savefig(file, dpi=100, metadata={"Software": None})
    plt.close(figure)


def _by_forecast(axes: Axes, rows: pd.DataFrame, error: LeadError) -> None:
    known = rows[rows.came_f.notna() & rows.fcst.between(20, 50)]
    froze = (known.came_f <= 32).groupby(known.fcst).agg(["mean", "size"])
    froze = froze[froze["size"] >= 20]
    degrees = np.linspace(20, 50, 121)
    axes.step([20, 32, 32, 50], [100, 100, 0, 0], color="0.55", linestyle="--", linewidth=1.2)
    odds = 100 * chance_of_freeze(degrees[:, None], [error], 0.0)
    axes.plot(degrees, odds, color=HUE, linewidth=2)
    axes.scatter(
        froze.index, 100 * froze["mean"], s=froze["size"], facecolor="white", edgecolor=HUE
    )
    axes.annotate("hard line\nat 32 F", (32, 78), (33, 84), color="0.35")
    axes.annotate("odds told", (25.5, 88), (20, 74), color=HUE)
    axes.annotate("nights that froze\n(larger: more nights)", (37.5, 27), (39, 40), color=HUE)
    axes.set_xlabel(f"Forecast low, {LEAD} days ahead [F]")
    axes.set_ylabel("Nights at or below 32 F [%]")
    axes.set_title("A forecast of 36 F often freezes", loc="left", fontsize=11)


def _reliability(axes: Axes, lows: pd.DataFrame, table: list[LeadError]) -> None:
    axes.plot([0, 100], [0, 100], color="0.55", linestyle="--", linewidth=1.2)
    marks = {0: "o", 1: "s", 2: "^", 3: "D", 4: "v", 5: "P"}
    scores = scores_held_apart(lows, table, 32.0)
    for lead, mark in marks.items():
        bins = scores["came_f", lead].bins
        bins = bins[bins.n >= 50]
        axes.scatter(
            bins.told_pct, bins.came_pct, marker=mark, s=36, color=HUE, alpha=0.35 + 0.1 * lead,
            label=f"{lead}", linewidth=0,
        )  # fmt: skip
    axes.annotate("told = came", (70, 70), (72, 60), color="0.35")
    axes.legend(title="days ahead", frameon=False, loc="upper left", ncols=2)
    axes.set_xlabel("Odds told [%]")
    axes.set_ylabel("Nights that froze [%]")
    axes.set_title("Autumn 2016, not used in the fit", loc="left", fontsize=11)
