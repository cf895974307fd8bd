"""How ready each field is at every hour ahead."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np
import numpy.typing as npt

from agronomy.maturity import field_loss_pct, projected_nacb
from dispatch.field_rules import FieldRules
from dispatch.policy import DispatchPolicy
from dispatch.projection import daily_heat
from dispatch.readiness import Readiness
from farm.field import Field

Floats = npt.NDArray[np.float64]


def ready_hours(
    readiness: Mapping[str, Readiness],
    registered: Sequence[Field],
    rules: Mapping[str, FieldRules],
    policy: DispatchPolicy,
    now: datetime,
    hours: int,
) -> Floats:
    """Readiness of each field over the hours ahead, shape (fields, hours), 0 to 1.

    1 for a field judged mature; otherwise one less the loss of yield at the projected node
    count beyond that of a mature field, over what a spray is worth. Fields without a count have 1,
    which is never used for a call.
    """
    ready = np.ones((len(registered), hours))
    days = -(-hours // 24)
    for row, one in enumerate(registered):
        known, rule = readiness[one.id], rules[one.id]
        if known.nodes_then is None or known.figures.state == "mature":
            continue
        today = now.astimezone(ZoneInfo(one.time_zone)).date()
        heat = np.repeat(daily_heat(rule.climate, today, days) / 24, 24)[:hours].cumsum()
        nodes = projected_nacb(
            known.nodes_then,
            known.heat_since_f_days + heat,
            1 / known.rate.nodes_per_f_day if known.rate else rule.maturity.node_heat_f_days,
        )
        loss = np.maximum(field_loss_pct(nodes) - field_loss_pct(rule.maturity.nacb_max), 0) / 100
        ready[row] = np.maximum(0, 1 - loss / policy.spray_worth_frac)
    return ready
