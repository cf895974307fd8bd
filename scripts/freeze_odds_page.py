"""The page that says where the freeze odds come from and how well they hold."""

from pathlib import Path

import numpy as np
import pandas as pd

from scripts.low_error_data import TEST_YEAR, held_apart, training
from scripts.low_error_fit import (
    LeadError,
    chance_of_freeze,
    correlation_by_lead,
    fit_table,
    weeks,
    without_long_test,
)
from scripts.low_error_score import ENOUGH_CASES, Score, bins, brier, pooled, score

PAIRINGS = {"came_f": "paired by night", "obs": "as labelled"}
LONG_LEAD = 6

Scores = dict[tuple[str, int], Score]

TOP = """# Freeze odds: where they come from and how well they hold

Written by `python -m scripts.derive_low_errors FILE --out agronomy/low_errors.py --docs docs`;
do not edit.

![Share of nights that froze by forecast low, and how far the odds held](freeze_odds.png)

A forecast low is not the low that comes. Its error is taken as Student's t, by days ahead, fitted
on forecasts of lows from 20 to 50 F of the US Weather Service for 48 cities south of 38.6 N,
September to December of 2014 and 2015. The chance that a night reads 32 F or less is the share of
that t below 32.5 F, as lows are read in whole degrees. The odds of several nights share a common
part (correlation {correlation:g} on the normal scale, a normal copula with t margins). Everything
below is measured on {year}, which no fit has seen; day 6 is not in that year, so its row is fitted
on 2014 and measured on 2015.

## The table in use
| days ahead | forecasts | bias [F] | scale [F] | degrees of freedom | standard deviation [F] |
|-|-|-|-|-|-|
"""

PAIRING = """
Day 7 is extrapolated: the scale goes on as from day 4 to 6. A farm may enter its own
`low_error_sd_f`, `low_bias_f`, `low_error_dof` and `night_correlation` under `[dispatch]`.

## Which night a forecast is for
The lows that came are of calendar days, the forecasts are of nights, and the dates in the file do
not always name the morning. East of 86 W before December 2015, and everywhere after it, the
forecasts go far better with the low of the *next* day. So every measure is taken twice: **as
labelled** in the file, and **paired by night**, each city, lead and period with the day whose
errors spread less, told by the months that are not tested.

The table is fitted as labelled, because that one holds on both: the worst bin of {cases} or more
at 32 F is {worst_labelled:.1f} points off, against {worst_by_night:.1f} with a table fitted by
night. Its price, paired by night: odds between 40 and 90 % are told too low one and two days ahead
and too high on day 0; over all days together they hold.

Standard deviation of the error in 2014 and 2015, forecasts of 20 to 50 F [F]:

"""


def write_page(file: Path, lows: pd.DataFrame, table: list[LeadError], correlation: float) -> None:
    """Write the page: tables of errors, scores and reliability."""
    text = TOP.format(correlation=correlation, year=TEST_YEAR)
    text += "".join(_table_row(one) for one in table)
    train = training(lows)
    text += PAIRING.format(
        cases=ENOUGH_CASES,
        worst_labelled=_worst(lows, table),
        worst_by_night=_worst(lows, fit_table(train, "came_f")),
    )
    text += _spreads(train)
    for line_f in (32.0, 28.0):
        scores = scores_held_apart(lows, table, line_f)
        text += _brier_section(scores, line_f) + _bins_section(scores, line_f)
    text += _weeks_section(lows, table, correlation)
    file.write_text(text, "utf-8")


def scores_held_apart(lows: pd.DataFrame, table: list[LeadError], line_f: float) -> Scores:
    """Scores by pairing and lead on forecasts held apart from the fit they are scored by."""
    errors = [*table[:LONG_LEAD], without_long_test(training(lows), LONG_LEAD)]
    return {
        (low, one.lead): score(held_apart(lows, one.lead), one, low, line_f)
        for low in PAIRINGS
        for one in errors
    }


def _worst(lows: pd.DataFrame, table: list[LeadError]) -> float:
    scores = scores_held_apart(lows, table, 32.0)
    return max(one.worst_bin_points for (_, lead), one in scores.items() if lead < LONG_LEAD)


def _row(*cells: str) -> str:
    return f"| {' | '.join(cells)} |\n"


def _head(*cells: str) -> str:
    return _row(*cells) + "|-" * len(cells) + "|\n"


BIN_HEADS = [f"{low}-{low + 10} %" for low in range(0, 100, 10)]


def _table_row(one: LeadError) -> str:
    rows = f"{one.rows:,}" if one.rows else "extrapolated"
    figures = (f"{one.bias_f:+.2f}", f"{one.scale_f:.2f}", f"{one.dof:.1f}", f"{one.sd_f:.2f}")
    return _row(str(one.lead), rows, *figures)


def _spreads(rows: pd.DataFrame) -> str:
    text = _head("pairing", *(f"day {lead}" for lead in range(7)))
    for low, words in PAIRINGS.items():
        spread = (rows.fcst - rows[low]).groupby(rows["lead"]).std()
        text += _row(words, *(f"{value:.2f}" for value in spread))
    return text


def _brier_section(scores: Scores, line_f: float) -> str:
    text = f"""
## Single nights at {line_f:g} F: Brier score of the odds and of the hard line
Lower is better. The hard line says "freeze" where the forecast low is {line_f:g} F or less; the
base rate says the mean share always.

"""
    told = ("odds", "hard line", "base rate", "odds better than the line")
    text += _head(
        "pairing", "days ahead", "forecasts", *told, f"worst bin of {ENOUGH_CASES} or more"
    )
    for (low, lead), one in scores.items():
        figures = (f"{one.ours:.4f}", f"{one.hard_line:.4f}", f"{one.base_rate:.4f}")
        against = (f"{one.better_pct:.0f} %", f"{one.worst_bin_points:.1f} points")
        text += _row(PAIRINGS[low], str(lead), f"{one.rows:,}", *figures, *against)
    return text


def _bins_section(scores: Scores, line_f: float) -> str:
    text = f"""
### Reliability at {line_f:g} F by the odds told
Share that froze minus the odds told [points], and cases. Forecasts of 20 to 50 F; a bin with fewer
than {ENOUGH_CASES} cases is loose by itself.

"""
    text += _head("pairing", "days ahead", *BIN_HEADS)
    for (low, lead), one in scores.items():
        text += _row(PAIRINGS[low], str(lead), *_bin_cells(one.bins))
    for low, words in PAIRINGS.items():
        whole = pooled([scores[low, lead].bins for lead in range(LONG_LEAD)])
        text += _row(words, f"0-{LONG_LEAD - 1}", *_bin_cells(whole))
    return text


def _bin_cells(table: pd.DataFrame) -> list[str]:
    gap = table.came_pct - table.told_pct
    return [
        f"{gap[bin_]:+.0f} ({table.n[bin_]:.0f})" if bin_ in table.index else ""
        for bin_ in range(10)
    ]


def _weeks_section(lows: pd.DataFrame, table: list[LeadError], correlation: float) -> str:
    text = f"""
## Nights of one issue
Correlation of the errors of two successive nights of one issue (normal scores, 2014 and 2015,
forecasts of 20 to 50 F):

{_head("pairing", *(f"days {lead}, {lead + 1}" for lead in range(6)), "mean of all pairs")}"""
    for low, words in PAIRINGS.items():
        matrix = correlation_by_lead(training(lows), table, low).to_numpy()
        successive = [f"{matrix[lead, lead + 1]:.2f}" for lead in range(6)]
        text += _row(words, *successive, f"{matrix[np.triu_indices(7, 1)].mean():.2f}")
    text += f"""
Neighbouring nights go together more the further ahead they lie. One common part for all nights is
simpler than that; its correlation of {correlation:g} is the one under which "any freeze in seven
nights" was most likely as it came in 2014 and 2015. On {TEST_YEAR}, any freeze in days 0 to 5 of
each issue, Brier scores; the hard line says "freeze" where any of the lows is 32 F or less:

"""
    told = ("odds", "odds, nights independent", "hard line", "odds better than the line")
    text += _head("pairing", "issues", *told)
    reliability = _head("pairing", *BIN_HEADS)
    for low, words in PAIRINGS.items():
        issues, figures, table_of_bins = _weeks_scored(lows, table, correlation, low)
        text += _row(words, f"{issues:,}", *figures)
        reliability += _row(words, *_bin_cells(table_of_bins))
    return f"""{text}
Reliability of these odds, share that froze minus the odds told [points], and issues:

{reliability}
Between 10 and 50 % the odds of several nights are told higher than freezes came.
"""


def _weeks_scored(
    lows: pd.DataFrame, table: list[LeadError], correlation: float, low: str
) -> tuple[int, list[str], pd.DataFrame]:
    forecast, came = weeks(lows[lows.year == TEST_YEAR], low, LONG_LEAD)
    froze = (came <= 32).any(axis=1)
    told = chance_of_freeze(forecast, table, correlation)
    apart = chance_of_freeze(forecast, table, 0.0)
    ours, alone, hard = (brier(one, froze) for one in (told, apart, (forecast <= 32).any(axis=1)))
    figures = [f"{ours:.4f}", f"{alone:.4f}", f"{hard:.4f}", f"{100 * (1 - ours / hard):.0f} %"]
    return len(froze), figures, bins(told, froze)
