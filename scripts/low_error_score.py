"""How the odds of a freeze hold on forecasts they were not fitted on."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from scripts.low_error_data import NEAR_FREEZING_F
from scripts.low_error_fit import LeadError, chance_of_freeze

#: Fewest cases of a bin for its reliability to mean something.
ENOUGH_CASES = 200


@dataclass(frozen=True)
class Score:
    """Brier scores of one lead, lower is better, and the reliability of the odds by bins of ten.

    ``bins`` has a row for each bin of odds that has cases, with columns n, told_pct and came_pct;
    it counts forecasts of lows from 20 to 50 F only.
    """

    rows: int
    ours: float
    hard_line: float
    base_rate: float
    bins: pd.DataFrame

    @property
    def better_pct(self) -> float:
        """How much lower our Brier score is than that of the hard line [%]."""
        return 100 * (1 - self.ours / self.hard_line)

    @property
    def worst_bin_points(self) -> float:
        """Largest gap between odds and what came in a bin with enough cases [points]."""
        full = self.bins[self.bins.n >= ENOUGH_CASES]
        return float((full.came_pct - full.told_pct).abs().max()) if len(full) else 0.0


def score(rows: pd.DataFrame, error: LeadError, low: str, line_f: float = 32.0) -> Score:
    """Score of single-night odds at a line.

    Parameters
    ----------
    rows
        Forecasts of one lead.
    error
        The t of that lead.
    low
        Column of the low that came: obs as labelled, came_f paired by night.
    line_f
        Temperature at or below which a night freezes [F].
    """
    known = rows[rows[low].notna()]
    froze = (known[low] <= line_f).to_numpy()
    forecast = known.fcst.to_numpy(float)
    chance = chance_of_freeze(forecast[:, None], [error], 0.0, line_f)
    near = (forecast >= NEAR_FREEZING_F[0]) & (forecast <= NEAR_FREEZING_F[1])
    return Score(
        rows=len(known),
        ours=brier(chance, froze),
        hard_line=brier(forecast <= line_f, froze),
        base_rate=brier(np.full(len(froze), froze.mean()), froze),
        bins=bins(chance[near], froze[near]),
    )


def bins(chance: np.ndarray, froze: np.ndarray) -> pd.DataFrame:
    """Cases, mean odds and share that froze by ten-point bins of the odds."""
    table = pd.DataFrame({"told_pct": 100 * chance, "came_pct": 100.0 * froze})
    grouped = table.groupby(np.minimum((chance * 10).astype(int), 9))
    return grouped.mean().assign(n=grouped.size())


def pooled(tables: list[pd.DataFrame]) -> pd.DataFrame:
    """Bins of several leads taken together."""
    rows = pd.concat(tables)
    sums = rows[["told_pct", "came_pct"]].mul(rows.n, axis=0).assign(n=rows.n)
    whole = sums.groupby(level=0).sum()
    return whole[["told_pct", "came_pct"]].div(whole.n, axis=0).assign(n=whole.n)


def brier(chance: np.ndarray, froze: np.ndarray) -> float:
    """Mean square of odds minus what came, 0 to 1."""
    return float(np.mean((np.asarray(chance, float) - froze) ** 2))
