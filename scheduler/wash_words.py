"""The chance of washing rain with its bounds, in plain words."""

from dispatch.field_rules import FieldRules
from dispatch.report import Factors


def wash_words(told: Factors) -> str:
    """The chance counted with and its bounds, for a cell: ``34 % (20 to 45)``."""
    counted = f"{told.wash_chance_pct:.0f} %"
    bounds = _bounds(told)
    return (
        counted if not bounds or bounds == counted else f"{counted} ({bounds.removesuffix(' %')})"
    )


def wash_lines(told: Factors, rules: FieldRules | None) -> list[str]:
    """What the bounds rest on, for the spray of the call."""
    counted, bounds = f"{told.wash_chance_pct:.0f} %", _bounds(told)
    if not bounds:
        if told.on_climate:
            return []
        return [f"chance of washing rain {counted}; its bounds are not known"]
    if told.wash_high_pct is not None and told.wash_high_pct < told.wash_chance_pct:
        washes = f"the {rules.gates.rain_threshold_in:.2f} in" if rules else "rain"
        return [
            f"chance of rain {counted}, counted whole; by the amounts told that of {washes} that "
            f"washes is {bounds}"
        ]
    if bounds == counted:
        return []
    return [
        f"chance of washing rain {counted} ({bounds.removesuffix(' %')} by what an interval's "
        "chance can mean)"
    ]


def _bounds(told: Factors) -> str:
    if told.wash_low_pct is None or told.wash_high_pct is None:
        return ""
    low, high = f"{told.wash_low_pct:.0f}", f"{told.wash_high_pct:.0f}"
    return f"{high} %" if low == high else f"{low} to {high} %"
