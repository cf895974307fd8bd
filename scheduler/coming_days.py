"""Where a field that is not mature should stand on each coming day."""

from dispatch.report import ComingDay, FieldCall
from dispatch.words import day
from scheduler.section import Section


def coming_days_section(one: FieldCall) -> Section:
    """Nodes and percent open of each coming day, a projection; empty for other fields."""
    rows = tuple(_row(ahead) for ahead in one.maturity.coming_days)
    if not rows:
        return Section("", ())
    lines = ("projected at normal heat; only a count in the field makes it mature",)
    return Section("The coming days", lines, ("day", "nodes", "8 times in 10", "open about"), rows)


def _row(ahead: ComingDay) -> tuple[str, ...]:
    return (
        day(ahead.date),
        f"{ahead.nacb:.1f}",
        f"{ahead.nacb_low:.1f} to {ahead.nacb_high:.1f}",
        f"{ahead.percent_open:.0f} %",
    )
