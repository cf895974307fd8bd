"""Freezes, looks and waiting fields as the rows of tables."""

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from agronomy.after_freeze import INSPECT_DAYS
from dispatch.field_rules import FieldRules
from dispatch.words import day_range
from farm.field import Field
from farm.records import Freeze, FreezeInspection
from farm.retraction import Retraction
from scheduler.freeze_waiting import Waiting
from scheduler.undone import marked_note
from storage.take_back import short_id

RECORD_HEADERS = ("field", "when", "record", "by", "id", "note")
WAITING_HEADERS = ("field", "froze", "look at it", "due today", "last look")


def record_rows(
    freezes: Sequence[Freeze],
    looks: Sequence[FreezeInspection],
    fields: Mapping[str, Field],
    taken_back: Mapping[UUID, Retraction],
) -> list[tuple[str, ...]]:
    """One row for each freeze and each look, newest first, those taken back marked."""
    rows: list[tuple[datetime, Freeze | FreezeInspection, str, str]] = [
        (one.froze_utc, one, _freeze(one), _told_by(one)) for one in freezes
    ]
    rows += [(one.inspected_utc, one, _look(one), one.inspector) for one in looks]
    rows.sort(key=lambda row: row[0], reverse=True)
    return [
        (
            _name(one.field_id, fields),
            _local(moment, fields.get(one.field_id)),
            told,
            by,
            short_id(one.uuid),
            marked_note(one.uuid, one.note, taken_back, _zone(fields.get(one.field_id))),
        )
        for moment, one, told, by in rows
    ]


def waiting_rows(waiting: Sequence[Waiting]) -> list[tuple[str, ...]]:
    """One row for each field that waits for a look."""
    return [
        (
            one.field.name,
            _local(one.told.froze_utc, one.field) + ("" if one.told.confirmed else ", forecast"),
            day_range(one.told.inspect_from, one.told.inspect_until),
            "yes" if one.told.due_today else "",
            _last_look(one),
        )
        for one in waiting
    ]


def logged_lines(
    freezes: Sequence[Freeze],
    known: Collection[UUID],
    fields: Mapping[str, Field],
    rules: Mapping[str, FieldRules],
) -> list[str]:
    """What is told of freezes just logged, a line for each field and the sum of them.

    Parameters
    ----------
    known
        Those that were on record before.
    """
    lines, killing = [], 0
    for one in freezes:
        killing_f = rules[one.field_id].gates.killing_f
        kills = one.low_f is None or one.low_f <= killing_f
        killing += kills
        told = "was known already" if one.uuid in known else "kept"
        milder = "" if kills else f", not killing: above {killing_f:g} F"
        lines.append(f"{fields[one.field_id].name}: freeze {told} ({one.uuid}){milder}")
    old = sum(one.uuid in known for one in freezes)
    lines.append(f"{len(freezes) - old} new, {old} known already, {killing} killing")
    if killing:
        first, last = INSPECT_DAYS
        lines.append(
            f"A killing freeze shows its effect after {first} to {last} days: warmspell freeze "
            "list tells which fields to look at, and when"
        )
    return lines


def _last_look(waiting: Waiting) -> str:
    moment = waiting.told.inspected_utc
    return "" if moment is None else f"{waiting.told.found}, {_local(moment, waiting.field)}"


def _freeze(one: Freeze) -> str:
    return "freeze, low not known" if one.low_f is None else f"freeze, {one.low_f:g} F"


def _told_by(one: Freeze) -> str:
    return one.reporter if one.told_by == "person" else "forecast, not confirmed"


def _look(one: FreezeInspection) -> str:
    leaves = "" if one.leaves == "not_looked" else f"leaves {one.leaves}"
    dead = "" if one.bolls_dead is None else f"{one.bolls_dead} of {one.bolls_cut} bolls dead"
    cut = f"{one.bolls_cut} bolls cut" if one.bolls_cut and not dead else ""
    return ", ".join(filter(None, (f"found {one.found}", leaves, dead, cut)))


def _name(field_id: str, fields: Mapping[str, Field]) -> str:
    field = fields.get(field_id)
    return field.name if field else f"{field_id} (not registered)"


def _local(moment: datetime, field: Field | None) -> str:
    return f"{moment.astimezone(_zone(field)):%a %-d %b %Y %H:%M}"


def _zone(field: Field | None) -> ZoneInfo:
    return ZoneInfo(field.time_zone if field else "UTC")
