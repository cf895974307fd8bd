"""What is told to who asks of a farm's own errors of forecast lows: every lead, or why not."""

from dispatch.own_error_figures import OwnErrorFigures, OwnErrorLead
from dispatch.words import day, plural
from notify.user_text import plain_line
from scheduler.section import Section, fact


def own_errors_section(told: OwnErrorFigures | None, source: str) -> Section:
    """The errors the odds of a field count with; ``source`` is whose forecast the field has."""
    if told is None:
        return Section("", ())
    lines = own_error_lines(told)
    if told.used and source and source != told.source:
        lines.append(f"This field's forecast is of {plain_line(source)}; it is counted so too.")
    return Section("The errors of lows", tuple(lines))


def own_error_lines(told: OwnErrorFigures) -> list[str]:
    """Whose errors they are, and how each lead moved."""
    if not told.used:
        return [f"Odds count with the usual errors, not this farm's own: {told.why_not}."]
    kept = f", kept {day(told.kept_on)}" if told.kept_on else ""
    return [
        f"Odds count with this farm's own errors, {plain_line(told.source)}{kept}:",
        *(fact(f"{plural(one.lead_days, 'day')} ahead", _lead_words(one)) for one in told.leads),
        "Days ahead that are not listed count with the usual errors.",
    ]


def _lead_words(one: OwnErrorLead) -> str:
    held = ", held at the bound" if one.held else ""
    return (
        f"{plural(one.nights, 'night')}, weight {one.weight_frac:.2f}, sd {one.default_sd_f:.1f} "
        f"to {one.sd_f:.1f} F, bias {one.default_bias_f:.1f} to {one.bias_f:.1f} F{held}"
    )
