"""Whether the odds of a morning count with a farm's own errors of forecast lows, in words."""

from dispatch.own_error_figures import OwnErrorFigures, OwnErrorLead
from dispatch.words import plural
from notify.user_text import plain_line


def own_errors_line(told: OwnErrorFigures | None) -> str:
    """One quiet line of a digest, "" where there is nothing a reader did not choose."""
    if told is None or told.chosen:
        return ""
    if not told.used:
        return (
            "Freeze odds count with the usual errors of lows, not this farm's own: "
            f"{plain_line(told.why_not)}."
        )
    return f"Freeze odds count with this farm's own errors of lows: {moved_words(told.leads[0])}."


def moved_words(one: OwnErrorLead) -> str:
    """``75 nights weigh 56 in 100, sd 5.1 to 4.0 F 1 day ahead``."""
    return (
        f"{plural(one.nights, 'night')} weigh {100 * one.weight_frac:.0f} in 100, "
        f"sd {one.default_sd_f:.1f} to {one.sd_f:.1f} F {plural(one.lead_days, 'day')} ahead"
    )
