"""How fast a field opens: heat per node, fitted to its own visits as far as they can tell."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

#: Spread of the heat per node between fields, as a share of the assumed one. Judgement: the prior
#: itself is from memory.
PRIOR_SPREAD_FRAC = 0.3

#: Spread of one scouted node count around the field's true mean [nodes]. Judgement; the choice
#: of the order was simulated with 0.6.
COUNT_SD_NODES = 0.6


@dataclass(frozen=True)
class OpeningRate:
    """Nodes opened per F day, with its spread, and how many visits it was fitted to.

    ``visits`` below 2 means that nothing but the assumption speaks.
    """

    nodes_per_f_day: float
    sd: float
    visits: int


def opening_rate(
    nodes: Sequence[float], heat_f_days: Sequence[float], node_heat_f_days: float
) -> OpeningRate:
    """Opening rate of a field from its node counts, pulled towards the assumption.

    The assumed rate, 1 / ``node_heat_f_days`` with a spread of `PRIOR_SPREAD_FRAC`, and the slope
    of a least-squares line through the counts are weighed by their certainty (normal prior, counts
    with a spread of `COUNT_SD_NODES`).

    Parameters
    ----------
    nodes
        Nodes above cracked boll of each visit.
    heat_f_days
        Heat from any fixed day up to each visit [F days].
    node_heat_f_days
        Assumed heat per node [F days].

    Returns
    -------
    OpeningRate
        Between a third and three times the assumed rate.

    Raises
    ------
    ValueError
        When there are not as many heats as counts.
    """
    if len(nodes) != len(heat_f_days):
        raise ValueError(
            f"heat_f_days: got {len(heat_f_days)} heats for {len(nodes)} counts, wanted one each"
        )
    prior = 1 / node_heat_f_days
    prior_weight = 1 / (PRIOR_SPREAD_FRAC * prior) ** 2
    heat = np.asarray(heat_f_days, float)
    apart = float(((heat - heat.mean()) ** 2).sum()) if len(heat) else 0.0
    if len(nodes) < 2 or apart <= 0:
        return OpeningRate(prior, PRIOR_SPREAD_FRAC * prior, min(len(nodes), 1))
    centred = heat - heat.mean()
    slope = -float((centred * np.asarray(nodes, float)).sum()) / apart
    weight = apart / COUNT_SD_NODES**2
    rate = (prior * prior_weight + slope * weight) / (prior_weight + weight)
    return OpeningRate(
        float(np.clip(rate, prior / 3, prior * 3)),
        float((prior_weight + weight) ** -0.5),
        len(nodes),
    )


def nodes_after(
    nodes: float, heat_f_days: float, rate: OpeningRate, count_sd_nodes: float = COUNT_SD_NODES
) -> tuple[float, float]:
    """Node count after some heat and its spread, from the count and the rate, at least 0 nodes."""
    gone = heat_f_days * rate.nodes_per_f_day
    spread = float(np.hypot(count_sd_nodes, heat_f_days * rate.sd))
    return max(0.0, nodes - gone), spread


def chance_at_or_below_pct(limit_nodes: float, mean_nodes: float, sd_nodes: float) -> float:
    """Chance that a normally spread node count is at or below a limit [%]."""
    return float(100 * ndtr((limit_nodes - mean_nodes) / sd_nodes))
