"""Student's t of the error of a forecast low by lead day, and how nights go together."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.stats import norm, t

from agronomy.survival import chance_alive
from scripts.low_error_data import LONG_TEST_YEAR

#: Degrees of freedom above which a t is as good as normal and the fit wanders.
MOST_DOF = 30.0
#: Correlations tried for the nights of one issue.
CORRELATIONS = np.round(np.arange(0.0, 0.65, 0.05), 2)


@dataclass(frozen=True)
class LeadError:
    """Error of one lead day: forecast minus observed [F], centre, scale and tails."""

    lead: int
    rows: int
    bias_f: float
    scale_f: float
    dof: float

    @property
    def sd_f(self) -> float:
        """Standard deviation of the t [F]."""
        return self.scale_f * float(np.sqrt(self.dof / (self.dof - 2)))


def fit_lead(rows: pd.DataFrame, lead: int, low: str = "obs") -> LeadError:
    """Most likely t for the errors of a lead against the lows in a column."""
    of_lead = rows[rows["lead"] == lead]
    error = (of_lead.fcst - of_lead[low]).dropna().to_numpy()
    dof, bias, scale = t.fit(error)
    if dof > MOST_DOF:
        dof, bias, scale = t.fit(error, fdf=MOST_DOF)
    return LeadError(
        lead, len(error), round(float(bias), 2), round(float(scale), 2), round(float(dof), 1)
    )


def fit_table(rows: pd.DataFrame, low: str = "obs") -> list[LeadError]:
    """Leads 0 to 6 from data, and lead 7 by going on as from lead 4 to 6."""
    table = [fit_lead(rows, lead, low) for lead in range(7)]
    fourth, last = table[4], table[6]
    step = (last.scale_f - fourth.scale_f) / 2
    scale = round(last.scale_f + step, 2)
    return [*table, LeadError(7, 0, last.bias_f, scale, last.dof)]


def without_long_test(rows: pd.DataFrame, lead: int) -> LeadError:
    """The error of a lead from the years before 2015 alone, for its own test."""
    return fit_lead(rows[rows.year < LONG_TEST_YEAR], lead)


def weeks(rows: pd.DataFrame, low: str, leads: int) -> tuple[np.ndarray, np.ndarray]:
    """Forecast and observed lows of issues that have all leads, shape (issues, leads) each."""
    whole = rows[rows["lead"] < leads].drop_duplicates(["city", "issued", "lead"])
    wide = whole.pivot(index=["city", "issued"], columns="lead", values=["fcst", low]).dropna()
    return wide["fcst"].to_numpy(float), wide[low].to_numpy(float)


def chance_of_freeze(
    lows_f: np.ndarray, table: list[LeadError], correlation: float, line_f: float = 32.0
) -> np.ndarray:
    """Chance of at least one freeze in each issue, as the morning's order counts it."""
    errors = table[: lows_f.shape[1]]
    alive = chance_alive(
        lows_f,
        [one.scale_f for one in errors],
        np.full(len(lows_f), line_f),
        np.ones(lows_f.shape),
        bias_f=np.array([one.bias_f for one in errors]),
        dof=[one.dof for one in errors],
        correlation=correlation,
        first=np.zeros(len(lows_f), dtype=int),
        trusted_nights=lows_f.shape[1],
    )
    return np.asarray(1 - alive[:, -1])


def fit_correlation(rows: pd.DataFrame, table: list[LeadError], leads: int) -> float:
    """Correlation under which "any freeze in these nights" was most likely as it came."""
    forecast, came = weeks(rows, "obs", leads)
    froze = (came <= 32).any(axis=1)

    def surprise(correlation: float) -> float:
        chance = np.clip(chance_of_freeze(forecast, table, correlation), 1e-6, 1 - 1e-6)
        return float(-np.where(froze, np.log(chance), np.log(1 - chance)).mean())

    return float(min(CORRELATIONS, key=surprise))


def correlation_by_lead(rows: pd.DataFrame, table: list[LeadError], low: str) -> pd.DataFrame:
    """Correlation of errors on the normal scale between the leads of one issue, (leads, leads)."""
    scored = rows.drop_duplicates(["city", "issued", "lead"]).copy()
    fits = pd.DataFrame([vars(one) for one in table]).set_index("lead").loc[scored["lead"]]
    error = (scored.fcst - scored[low]).to_numpy()
    chance = t.cdf((error - fits.bias_f.to_numpy()) / fits.scale_f.to_numpy(), fits.dof.to_numpy())
    scored["score"] = norm.ppf(np.clip(chance, 1e-9, 1 - 1e-9))
    return scored.pivot(index=["city", "issued"], columns="lead", values="score").corr()
