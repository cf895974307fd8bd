"""Which fields to walk next: where a visit is expected to change most of what is done."""

from typing import Any

from dispatch.report import FieldCall, MorningReport
from dispatch.words import amount, day

DUE_HEADERS = ("", "field", "call", "mature now", "if so", "points", "acres", "why")


def due_visits(report: MorningReport) -> tuple[FieldCall, ...]:
    """Fields where a visit is worth something, or is due by its date, the best first.

    The order is by perfectly sprayed acres expected to be gained, since one walk costs about the
    same in a small field and a big one.
    """
    due = [one for one in report.fields if _worth_telling(one, report)]
    return tuple(sorted(due, key=lambda one: (-_acres(one), one.field.name)))


def _worth_telling(one: FieldCall, report: MorningReport) -> bool:
    if one.standing != "open":
        return False
    again = one.maturity.look_again_on
    by_date = again is not None and again <= report.run.local_date
    return by_date or (one.visit_gain is not None and one.visit_gain.points > 0.05)


def _acres(one: FieldCall) -> float:
    return one.visit_gain.acres if one.visit_gain else 0.0


def due_rows(report: MorningReport) -> list[tuple[str, ...]]:
    """The visits as rows to read, under `DUE_HEADERS`."""
    return [_row(place, one) for place, one in enumerate(due_visits(report), start=1)]


def _row(place: int, one: FieldCall) -> tuple[str, ...]:
    gain = one.visit_gain
    figures = ("", "", "", "")
    if gain is not None:
        figures = (
            f"{gain.chance_mature_pct:.0f} in 100",
            f"{gain.cost_if_mature_pct:.0f}",
            amount(gain.points),
            amount(gain.acres),
        )
    return (str(place), one.field.name, one.call.value.upper(), *figures, why_due(one))


def why_due(one: FieldCall) -> str:
    """Why a field is worth walking, in a sentence."""
    figures = one.maturity
    if figures.visited_utc is None:
        return "Never scouted; even odds that it is mature are assumed."
    if figures.nacb_today is None:
        return "Nothing was counted at the last visit."
    fitted = figures.opening_visits is not None and figures.opening_visits >= 2
    rate = f"its own {figures.opening_visits} visits" if fitted else "an assumed opening rate"
    then = figures.nodes_above_cracked_boll
    counted = "percent open" if then is None else f"NACB {amount(then)}"
    days = f", {amount(figures.visit_age_days)} days ago" if figures.visit_age_days else ""
    ready = f"; ready about {day(figures.ready_on)}" if figures.ready_on else ""
    return (
        f"{counted}{days}: about NACB {amount(figures.nacb_today)} today "
        f"({amount(figures.nacb_today_low or 0.0)}-{amount(figures.nacb_today_high or 0.0)}), "
        f"by {rate}{ready}."
    )


def due_json(report: MorningReport) -> dict[str, Any]:
    """The visits for other programs."""
    return {
        "made_utc": report.run.made_utc.isoformat(),
        "due": [
            {
                "field_id": one.field.id,
                "name": one.field.name,
                "call": one.call.value,
                "acres": one.field.acres,
                "gain_points": one.visit_gain.points if one.visit_gain else None,
                "gain_acres": one.visit_gain.acres if one.visit_gain else None,
                "chance_mature_pct": one.visit_gain.chance_mature_pct if one.visit_gain else None,
                "cost_if_mature_pct": (
                    one.visit_gain.cost_if_mature_pct if one.visit_gain else None
                ),
                "look_again_on": (
                    one.maturity.look_again_on.isoformat() if one.maturity.look_again_on else None
                ),
                "why": why_due(one),
            }
            for one in due_visits(report)
        ],
    }
