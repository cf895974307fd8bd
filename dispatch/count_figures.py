"""How sure the counts of a visit are, as figures and sentences.

Told beside the verdict, which stays with the counts themselves. A mean without its plants gets a
range on an assumed spread in the figures and no sentence.
"""

from dataclasses import dataclass

from agronomy.count_statistics import (
    PLANTS_MOST,
    NodeCount,
    chance_at_or_below_pct,
    mean_interval,
    node_count,
    node_count_of_mean,
    open_interval_pct,
    plants_to_be_sure,
)
from dispatch.words import amount, chance, plural
from farm.records import Visit

#: Stand that the node count is meant for [plants per foot of row]. North Carolina 2014 (S5).
STAND_LEAST_PER_FT, STAND_MOST_PER_FT = 2.0, 3.0


@dataclass(frozen=True)
class CountFigures:
    """What the counts of one visit leave open; names as in `dispatch.report.MaturityFigures`."""

    nacb_low: float | None = None
    nacb_high: float | None = None
    nacb_spread_assumed: bool = False
    chance_mature_pct: float | None = None
    count_more: int | None = None
    percent_open_low: float | None = None
    percent_open_high: float | None = None


def count_figures(visit: Visit, nacb_max: float, *, speaks: bool) -> CountFigures:
    """Ranges and odds of a visit's counts.

    Parameters
    ----------
    nacb_max
        Most nodes above cracked boll on a mature field.
    speaks
        Whether the visit speaks for the field today; an old or contradicted one keeps its ranges,
        but there are no odds on it.
    """
    count, opened = _node_count(visit), _open_interval(visit)
    low, high = mean_interval(count) if count else (None, None)
    odds = count if speaks else None
    return CountFigures(
        nacb_low=_figure(low),
        nacb_high=_figure(high),
        nacb_spread_assumed=count is not None and count.sd_assumed,
        chance_mature_pct=_figure(chance_at_or_below_pct(odds, nacb_max) if odds else None),
        count_more=plants_to_be_sure(odds, nacb_max) if odds else None,
        percent_open_low=_figure(opened[0]),
        percent_open_high=_figure(opened[1]),
    )


def _node_count(visit: Visit) -> NodeCount | None:
    if len(visit.plant_nodes) > 1:
        return node_count(visit.plant_nodes)
    mean, plants = visit.nodes_above_cracked_boll, visit.plants_counted
    # From the road nobody counts nodes, whatever stands on the sheet.
    if mean is None or plants is None or plants < 2 or visit.windshield:
        return None
    return node_count_of_mean(mean, plants)


def _open_interval(visit: Visit) -> tuple[float, float] | tuple[None, None]:
    if visit.bolls_open is None or visit.bolls_closed is None:
        return None, None
    return open_interval_pct(visit.bolls_open, visit.bolls_closed)


def _figure(value: float | None) -> float | None:
    return None if value is None else round(value, 2)


def count_sentences(visit: Visit, told: CountFigures, nacb_max: float) -> tuple[str, ...]:
    """How sure single plants and bolls make it, and what makes the counts mislead."""
    sentences = []
    if len(visit.plant_nodes) > 1:
        sentences.append(_nodes(visit, told, nacb_max))
    if visit.bolls_open is not None and visit.bolls_closed is not None:
        span = f"{told.percent_open_low:.0f}-{told.percent_open_high:.0f}"
        bolls = plural(visit.bolls_open + visit.bolls_closed, "boll")
        sentences.append(f"{visit.percent_open:.0f} % open ({span} on {bolls}).")
    if visit.fruiting_gap:
        cut = "" if visit.bolls_cut else "; cut the top bolls"
        sentences.append(f"A fruiting gap makes NACB and percent open mislead{cut}.")
    stand = visit.plants_per_ft
    if stand is not None and not STAND_LEAST_PER_FT <= stand <= STAND_MOST_PER_FT:
        usual = f"{amount(STAND_LEAST_PER_FT)} to {amount(STAND_MOST_PER_FT)}"
        sentences.append(f"{amount(stand)} plants a foot of row; NACB is meant for {usual}.")
    return tuple(sentences)


def _nodes(visit: Visit, told: CountFigures, nacb_max: float) -> str:
    mean, low, high = visit.nodes_above_cracked_boll, told.nacb_low, told.nacb_high
    if mean is None or low is None or high is None:
        return ""
    plants = plural(len(visit.plant_nodes), "plant")
    counted = f"NACB {amount(mean)} ({amount(low)}-{amount(high)} on {plants})"
    if told.chance_mature_pct is None:
        return f"{counted}."
    odds = f"{chance(told.chance_mature_pct)} that the field is at or below {amount(nacb_max)}"
    return f"{counted}; {odds}; {how_many_more(told.count_more)}."


def how_many_more(count_more: int | None) -> str:
    """How many plants more would make a count sure; see `CountFigures.count_more`."""
    if count_more is None:
        return f"even {PLANTS_MOST} plants would hardly settle it"
    if count_more:
        return f"count {count_more} more plant{'s' * (count_more > 1)} to be sure"
    return "enough plants counted"
