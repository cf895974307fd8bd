"""Fields to walk as rows to look at, most gain first."""

from dataclasses import dataclass

from dispatch.report import FieldCall, MorningReport
from farm.field import Field
from notify.user_text import plain_line
from web.desk import Desk
from web.order_rows import call_word, name_of
from web.units import shown
from web.viewer import Viewer

#: Most fields listed to walk: more than anybody walks in a day.
MOST = 100


@dataclass(frozen=True)
class WalkRow:
    """A field to walk: ``gain`` is what it is worth, ``why`` a sentence. "" says nothing."""

    field: Field
    name: str
    size: str
    call: str = ""
    call_word: str = ""
    gain: str = ""
    why: str = ""


@dataclass(frozen=True)
class WalkList:
    """Fields to walk: asked for by somebody, due by worth, and sprayed ones to look at again."""

    asked: tuple[WalkRow, ...] = ()
    due: tuple[WalkRow, ...] = ()
    sprayed: tuple[WalkRow, ...] = ()
    walked: int = 0


def walk_list(desk: Desk, told: Viewer, report: MorningReport | None) -> WalkList:
    """What there is to walk; a field that was walked since the plan is counted only."""
    asked = tuple(
        row_of_field(desk, field, why=f"Asked for by {plain_line(one.by)}, {one.on}.")
        for one in desk.scouting.asked()
        if (field := desk.farm.fields.get(one.field_id)) and told.sees(field)
    )
    if report is None:
        return WalkList(asked)
    seen, walked = told.seen(report), desk.scouting.walked(report)
    due = [one for one in desk.scouting.due(seen) if one.field.id not in walked]
    sprayed = [
        one
        for one in seen.standing("sprayed")
        if one.follow_up and one.follow_up.due_today and one.field.id not in walked
    ]
    return WalkList(
        asked,
        tuple(row_of_call(desk, one) for one in due[:MOST]),
        tuple(row_of_call(desk, one) for one in sprayed[:MOST]),
        sum(one.field.id in walked for one in seen.fields),
    )


def row_of_call(desk: Desk, one: FieldCall) -> WalkRow:
    """A field as the morning sees it.

    A place in the line is not told: pages of scouts are kept for a day without signal, and a call
    to spray does not stand that long.
    """
    gain = ""
    if one.visit_gain is not None and one.visit_gain.acres >= 0.05:
        gain = f"worth {shown(one.visit_gain.acres, 'area', desk.farm.units)}"
    why = plain_line(one.to_do) if one.standing == "sprayed" else desk.scouting.why(one)
    why = f"{why[:1].upper()}{why[1:]}"
    row = row_of_field(desk, one.field)
    told = ("", "") if one.rank is not None else (one.call.value, call_word(one))
    return WalkRow(row.field, name_of(one), row.size, *told, gain, plain_line(why))


def row_of_field(desk: Desk, field: Field, why: str = "") -> WalkRow:
    """A field as it is registered."""
    grower = desk.farm.growers.get(field.grower_id)
    parts = (shown(field.acres, "area", desk.farm.units), plain_line(grower.name if grower else ""))
    name = plain_line(field.name) or "field without a name"
    return WalkRow(field, name, ", ".join(part for part in parts if part), why=why)
