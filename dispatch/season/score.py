"""Rules held against each other on the same seasons, with paired intervals."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from dispatch.season.run import OURS, Outcome

Floats = npt.NDArray[np.float64]

#: Standard errors either side that hold 95 of 100 normal means.
WITHIN_95_PCT = 1.96


@dataclass(frozen=True)
class RuleScore:
    """One rule over all seasons.

    ``worth_pct`` is the mean and ``worst_pct`` the 5th percentile of the seasons. ``behind_pct`` is
    our rule less this one on the same seasons, give or take ``behind_pm_pct`` (95 %), which is
    None with fewer than two seasons.
    """

    rule: str
    worth_pct: float
    worst_pct: float
    caught_pct: float
    ripe_caught_pct: float
    behind_pct: float
    behind_pm_pct: float | None


def scores(outcomes: Sequence[Outcome]) -> tuple[RuleScore, ...]:
    """Score of each rule, in the order they were run."""
    names = tuple(dict.fromkeys(one.rule for one in outcomes))
    return tuple(_score(outcomes, name) for name in names)


def _score(outcomes: Sequence[Outcome], rule: str) -> RuleScore:
    worth = _by_season(outcomes, rule, "worth_pct")
    behind = differences(outcomes, rule)
    spread = None
    if behind.size > 1:
        spread = float(WITHIN_95_PCT * behind.std(ddof=1) / np.sqrt(behind.size))
    return RuleScore(
        rule=rule,
        worth_pct=float(worth.mean()),
        worst_pct=float(np.percentile(worth, 5)),
        caught_pct=float(_by_season(outcomes, rule, "caught_pct").mean()),
        ripe_caught_pct=float(_by_season(outcomes, rule, "ripe_caught_pct").mean()),
        behind_pct=float(behind.mean()),
        behind_pm_pct=spread,
    )


def differences(outcomes: Sequence[Outcome], rule: str) -> Floats:
    """Our rule less another, season by season [points]."""
    return _by_season(outcomes, OURS, "worth_pct") - _by_season(outcomes, rule, "worth_pct")


def _by_season(outcomes: Sequence[Outcome], rule: str, figure: str) -> Floats:
    mine = sorted((one.season, getattr(one, figure)) for one in outcomes if one.rule == rule)
    return np.array([value for _, value in mine])
