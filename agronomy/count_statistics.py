"""How sure a count of plants or bolls is, and how many more would settle it.

Plants and bolls are taken as drawn at random and one by one from the field. Plants of one row and
bolls of one plant are alike, so the truth is somewhat less sure than told here; plants should
come from different parts of the field (S59).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scipy.special import ndtri, stdtr, stdtrit

#: How sure the intervals are [%]. Judgement: 10 in 100 left on either side.
SURE_PCT = 80.0

#: Spread of the node count between plants where only the mean was written down [nodes].
#: Judgement, no source.
ASSUMED_NODE_SD = 1.5

#: Least spread between plants that is believed [nodes]: counting whole nodes alone brings 1 over
#: the root of 12 (rounding error), so plants that all show the same count are not without error.
LEAST_NODE_SD = 1 / math.sqrt(12)

#: Most plants worth counting in a field. 15 to 100 were adequate (Wolfenbarger 1983, S60).
PLANTS_MOST = 100


@dataclass(frozen=True)
class NodeCount:
    """A mean node count: ``sd`` is the spread between plants [nodes], ``plants`` their number.

    ``sd_assumed`` marks a spread that nobody counted.
    """

    mean: float
    sd: float
    plants: int
    sd_assumed: bool = False


def node_count(plant_nodes: Sequence[float]) -> NodeCount:
    """The mean and spread of counts per plant [nodes].

    Raises
    ------
    ValueError
        For fewer than two plants or a count that is not a number of 0 or more.

    Examples
    --------
    >>> node_count([3, 4, 5]).sd
    1.0
    """
    if len(plant_nodes) < 2:
        raise ValueError(f"plant_nodes: got {len(plant_nodes)} plants, wanted two or more")
    for nodes in plant_nodes:
        if not (nodes >= 0 and math.isfinite(nodes)):
            raise ValueError(f"plant_nodes: got {nodes:g}, wanted 0 or more; check the sheet")
    mean = math.fsum(plant_nodes) / len(plant_nodes)
    squares = math.fsum((nodes - mean) ** 2 for nodes in plant_nodes)
    sd = math.sqrt(squares / (len(plant_nodes) - 1))
    return NodeCount(mean, max(sd, LEAST_NODE_SD), len(plant_nodes))


def node_count_of_mean(mean: float, plants: int) -> NodeCount:
    """A mean of which only the number of plants is known: its spread is `ASSUMED_NODE_SD`.

    Raises
    ------
    ValueError
        For fewer than two plants.
    """
    if plants < 2:
        raise ValueError(f"plants: got {plants}, wanted two or more")
    return NodeCount(mean, ASSUMED_NODE_SD, plants, sd_assumed=True)


def mean_interval(count: NodeCount, sure_pct: float = SURE_PCT) -> tuple[float, float]:
    """Student's t interval of the field mean [nodes], not below 0.

    mean -+ t(n - 1) sd / sqrt(n), two-sided.
    """
    half = _half_width(count.sd, count.plants, sure_pct)
    return max(0.0, count.mean - half), count.mean + half


def chance_at_or_below_pct(count: NodeCount, threshold: float) -> float:
    """Chance that the field mean is at or below a threshold [%].

    Student's t with n - 1 degrees of freedom around the mean counted, every field mean being
    held equally likely before.
    """
    error = count.sd / math.sqrt(count.plants)
    return float(100 * stdtr(count.plants - 1, (threshold - count.mean) / error))


def plants_to_be_sure(
    count: NodeCount,
    threshold: float,
    sure_pct: float = SURE_PCT,
    most: int = PLANTS_MOST,
) -> int | None:
    """Fewest further plants after which the interval should leave the threshold out.

    The confidence-interval stop of sequential sampling against a critical density (Iwao 1975,
    Researches on Population Ecology 16, 281-288, from memory): count until the interval excludes
    the threshold. Looked ahead at the present mean and spread; both move with each plant.

    Returns
    -------
    int or None
        0 when it is left out already; None when ``most`` plants in all would not do.
    """
    distance = abs(count.mean - threshold)
    for plants in range(count.plants, max(most, count.plants) + 1):
        if _half_width(count.sd, plants, sure_pct) < distance:
            return plants - count.plants
    return None


def _half_width(sd: float, plants: int, sure_pct: float) -> float:
    quantile = stdtrit(plants - 1, 0.5 + sure_pct / 200)
    return float(quantile) * sd / math.sqrt(plants)


def open_interval_pct(
    bolls_open: int, bolls_closed: int, sure_pct: float = SURE_PCT
) -> tuple[float, float]:
    """Wilson score interval of percent open from counted harvestable bolls [%].

    Wilson 1927, Journal of the American Statistical Association 22, 209-212; without continuity
    correction. It stays inside 0 to 100 and has width even when all bolls are open or closed.

    Raises
    ------
    ValueError
        For negative counts or no boll at all.
    """
    if bolls_open < 0 or bolls_closed < 0:
        raise ValueError(
            f"bolls: got {bolls_open} open and {bolls_closed} closed, wanted 0 or more"
        )
    bolls = bolls_open + bolls_closed
    if bolls == 0:
        raise ValueError("bolls: got open + closed of zero, wanted bolls; check the sheet")
    z = float(ndtri(0.5 + sure_pct / 200))
    share, pull = bolls_open / bolls, z * z / bolls
    middle = (share + pull / 2) / (1 + pull)
    half = z * math.sqrt(share * (1 - share) / bolls + pull / (4 * bolls)) / (1 + pull)
    return max(0.0, 100 * (middle - half)), min(100.0, 100 * (middle + half))
