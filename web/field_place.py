"""Why a field stands where it does: the multiplication as boxes, and who is beside it."""

from dataclasses import dataclass

from dispatch.report import Factors, FieldCall
from dispatch.words import amount, day
from web.field_view import FieldView
from web.order_rows import name_of, overtaken
from web.units import shown


@dataclass(frozen=True)
class Link:
    """One box of a chain: the sign before it, its figure, and what that is.

    ``share_pct`` is how full the box is drawn, None where it is no share of anything.
    """

    sign: str
    figure: str
    words: str
    share_pct: float | None = None
    result: bool = False


@dataclass(frozen=True)
class Beside:
    """The field before or after this one in the order."""

    where: str
    field_id: str
    name: str
    words: str


def chains(view: FieldView) -> tuple[tuple[Link, ...], ...]:
    """The effect, what the back of the line costs of it, and the points of the order."""
    one = view.one
    told = (_effect(one.factors_now), _cost(one), _points(view))
    return tuple(chain for chain in told if chain)


def _effect(now: Factors | None) -> tuple[Link, ...]:
    if now is None:
        return ()
    told = "by climate" if now.on_climate else "by the forecast"
    return (
        Link("", "100", "points a perfect spray would have"),
        Link("x", f"{now.warmth_alive:.2f}", f"warmth alive, {told}", 100 * now.warmth_alive),
        Link("x", f"{now.dry:.2f}", "dry: not washed off", 100 * now.dry),
        Link("x", f"{now.ready:.2f}", "ready: mature enough", 100 * now.ready),
        Link("=", f"{now.effect_pct:.1f}", "effect now", now.effect_pct, result=True),
    )


def _cost(one: FieldCall) -> tuple[Link, ...]:
    if one.effect_pct is None or one.back_of_line_pct is None or one.cost_pct is None:
        return ()
    on = f", {day(one.back_of_line_on)}" if one.back_of_line_on else ""
    back = f"effect from the back of the line{on}"
    return (
        Link("", f"{one.effect_pct:.1f}", "effect now", one.effect_pct),
        Link("-", f"{one.back_of_line_pct:.1f}", back, one.back_of_line_pct),
        Link("=", f"{one.cost_pct:.1f}", "points lost by waiting", max(0, one.cost_pct), True),
    )


def _points(view: FieldView) -> tuple[Link, ...]:
    one = view.one
    if one.order_points is None or one.cost_pct is None:
        return ()
    # The order counts in acres whatever the reader's units.
    acres = one.field.acres
    also = "" if view.units == "us" else f", {shown(acres, 'area', view.units)}"
    return (
        Link("", f"{one.cost_pct:.1f}", "points lost by waiting"),
        Link("x", amount(acres), f"acres{also}"),
        Link("/", f"{one.rig_hours:.2f}", "rig-hours it takes"),
        Link("=", f"{one.order_points:.0f}", "order points: most first", result=True),
    )


def beside(view: FieldView) -> tuple[Beside, ...]:
    """One field before and one after in the order; never told to growers."""
    if view.viewer.role == "grower" or view.one.rank is None or view.gone:
        return ()
    told = []
    for where, rank in (("before it", view.one.rank - 1), ("after it", view.one.rank + 1)):
        found = next((other for other in view.report.fields if other.rank == rank), None)
        if found is not None:
            words = _beside_words(found, overtaken(found, view.since))
            told.append(Beside(where, found.field.id, name_of(found), f"number {rank}, {words}"))
    return tuple(told)


def _beside_words(other: FieldCall, gone: str) -> str:
    if gone:
        return f"which does not stand any more: {gone}"
    parts = []
    if other.order_points is not None:
        parts.append(f"{other.order_points:.0f} order points")
    if other.cost_pct is not None and other.effect_pct is not None:
        parts.append(f"loses {other.cost_pct:.1f} of {other.effect_pct:.1f} by waiting")
    return ", ".join(parts)
