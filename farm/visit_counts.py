"""What follows from the single counts of a visit, and counts that contradict one another.

A mean is worked out from the plants it was counted on and a share from the bolls; where both
were written down and do not fit, neither is taken.
"""

from collections.abc import Sequence

#: Most a written mean may differ from that of the listed plants [nodes]. Judgement: rounding to
#: whole nodes.
NODES_APART = 0.5

#: Most a written percent open may differ from the counted bolls [points]. Judgement: rounding.
PERCENT_APART = 1.0

#: First step of the 12-step picture scale of cut bolls at which seed is fully mature; 12 is a
#: cracked boll. Tennessee survey 2021 (S29b).
MATURE_STAGE = 11

#: Decimals kept of what is worked out, so that it reads back from a table as the same number.
DECIMALS = 4

Problems = list[tuple[str, str]]


def settled_counts(
    *,
    plant_nodes: Sequence[float] = (),
    plants_counted: int | None = None,
    nodes_above_cracked_boll: float | None = None,
    bolls_open: int | None = None,
    bolls_closed: int | None = None,
    percent_open: float | None = None,
    cut_stages: Sequence[int] = (),
    bolls_cut: int | None = None,
    bolls_cut_mature: int | None = None,
    windshield: bool = False,
) -> tuple[dict[str, float], Problems]:
    """The figures that follow from single counts, and what contradicts them.

    Parameters
    ----------
    plant_nodes
        Nodes above cracked boll (NACB) of each plant.
    bolls_open, bolls_closed
        Harvestable bolls counted; percent open is 100 open / (open + closed) [%].
    cut_stages
        Stage of each cut boll on the 12-step picture scale; mature from `MATURE_STAGE`.
    windshield
        Percent open was estimated from the road, so there can be no counted bolls.

    Returns
    -------
    (figures, problems)
        Figures by their name in `farm.records.Visit`, only those that follow from single counts;
        problems as (name, what is wrong).
    """
    figures: dict[str, float] = {}
    problems: Problems = []
    if plant_nodes:
        mean = round(sum(plant_nodes) / len(plant_nodes), DECIMALS)
        figures |= {"plants_counted": len(plant_nodes), "nodes_above_cracked_boll": mean}
        _fits("nodes_above_cracked_boll", nodes_above_cracked_boll, mean, NODES_APART, problems)
        _fits("plants_counted", plants_counted, len(plant_nodes), 0, problems)
    if bolls_open is not None or bolls_closed is not None:
        share = _percent(bolls_open, bolls_closed, problems)
        if share is not None:
            figures["percent_open"] = share
            _fits("percent_open", percent_open, share, PERCENT_APART, problems)
        if windshield:
            told = "got yes with counted bolls, wanted an estimate from the road or a count"
            problems.append(("windshield", f"{told}; leave one out"))
    if cut_stages:
        mature = sum(stage >= MATURE_STAGE for stage in cut_stages)
        figures |= {"bolls_cut": len(cut_stages), "bolls_cut_mature": mature}
        _fits("bolls_cut", bolls_cut, len(cut_stages), 0, problems)
        _fits("bolls_cut_mature", bolls_cut_mature, mature, 0, problems)
    return figures, problems


def _percent(bolls_open: int | None, bolls_closed: int | None, problems: Problems) -> float | None:
    if bolls_open is None or bolls_closed is None:
        name = "bolls_open" if bolls_open is None else "bolls_closed"
        told = "got nothing, wanted open and closed bolls both; count the others too"
        problems.append((name, told))
        return None
    if bolls_open + bolls_closed == 0:
        told = "got open + closed of zero, wanted bolls; leave both empty if none were counted"
        problems.append(("bolls_open", told))
        return None
    return round(100 * bolls_open / (bolls_open + bolls_closed), DECIMALS)


_FROM = {
    "plants_counted": "the plants listed",
    "nodes_above_cracked_boll": "the mean of the plants listed",
    "percent_open": "the share of the bolls counted",
    "bolls_cut": "the cut bolls whose stage is given",
    "bolls_cut_mature": f"the cut bolls from stage {MATURE_STAGE} on",
}


def _fits(
    name: str, written: float | None, counted: float, apart: float, problems: Problems
) -> None:
    if written is not None and abs(written - counted) > apart:
        told = f"got {written:g}, wanted {round(counted, 2):g}, {_FROM[name]}"
        problems.append((name, f"{told}; check the sheet, or leave it empty"))
