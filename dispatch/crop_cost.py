"""What spraying a field today gives up of its crop, beside what waiting gives up."""

from agronomy.given_up import early_spray_loss_pct
from agronomy.maturity_loss import field_loss_pct
from dispatch.report import GivenUpBy, MaturityFigures


def spray_now_costs_crop_pct(
    maturity: MaturityFigures,
) -> tuple[float | None, GivenUpBy | None]:
    """Share of the crop given up by spraying before it is done, and which count tells it.

    By the nodes of the last visit: an upper bound, since bolls go on ripening and top nodes carry
    less than an even share. Without nodes by percent open, from trials. None without a count, or
    while the maturity is not known.
    """
    if maturity.state == "unknown":
        return None, None
    if maturity.nodes_above_cracked_boll is not None:
        return round(float(field_loss_pct(maturity.nodes_above_cracked_boll)), 2), "nodes"
    if maturity.percent_open is not None:
        return round(float(early_spray_loss_pct(maturity.percent_open)), 2), "open"
    return None, None


def waiting_costs_crop_pct(cost_pct: float | None, spray_worth_frac: float) -> float | None:
    """Share of the crop given up by going to the back of the line; below 0 where that gains.

    The points lost there, each worth its part of what a spray is worth.
    """
    return None if cost_pct is None else round(spray_worth_frac * cost_pct, 2)
