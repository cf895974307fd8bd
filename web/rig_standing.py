"""Whether a plan of rigs still stands, and how each of its stops does."""

from dispatch.report import MorningReport
from dispatch.routes.plan import RoutePlan
from dispatch.words import LocalClock


def older_than_morning(plan: RoutePlan, report: MorningReport, clock: LocalClock) -> str:
    """Why a plan does not go by the newest morning; "" where it does."""
    if plan.morning_utc == report.run.made_utc:
        return ""
    made = clock.moment(plan.made_utc or plan.start_utc)
    return f"This plan of the rigs was made {made}, before the newest morning. Plan again"
