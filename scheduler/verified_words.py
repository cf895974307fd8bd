"""Words for the errors a farm found in its own lows, and the lines that put them to use."""

from collections.abc import Sequence

from agronomy.own_low_errors import NIGHTS_MIN, BlendedLead
from dispatch.words import plural


def blended_words(one: BlendedLead) -> str:
    """One lead: ``default sd 2.6, here 3.4 over 75 nights, blended 3.1``."""
    if one.nights == 0:
        return f"default sd {one.default_sd_f:.1f}, nothing here yet"
    nights = plural(one.nights, "night")
    if not one.weight_frac:
        return f"default sd {one.default_sd_f:.1f}; {nights} here, wanted {NIGHTS_MIN}"
    return (
        f"default sd {one.default_sd_f:.1f}, here {one.here_sd_f:.1f} over {nights}, "
        f"blended {one.sd_f:.1f}; bias {one.default_bias_f:.1f}, here {one.here_bias_f:.1f}, "
        f"blended {one.bias_f:.1f}{', held at the bound' if one.held else ''}"
    )


def policy_lines(table: Sequence[BlendedLead]) -> tuple[str, ...]:
    """The lines of farm.toml that make the morning count with the blend; none without one."""
    if not any(one.weight_frac for one in table):
        return ()
    sd = ", ".join(f"{one.sd_f:.2f}" for one in table)
    bias = ", ".join(f"{one.bias_f:.2f}" for one in table)
    return ("[dispatch]", f"low_error_sd_f = [{sd}]", f"low_bias_f = [{bias}]")
