"""Visits as rows to read and as CSV that can be imported again."""

import csv
import io
from collections.abc import Mapping, Sequence
from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from dispatch.words import age, amount
from farm.field import Field
from farm.records import Visit
from farm.retraction import Retraction
from scheduler.outputs import safe_cell
from scheduler.scouting_row import COLUMNS
from scheduler.undone import marked_note
from storage.take_back import short_id

VISIT_HEADERS = (
    "field",
    "visited",
    "age",
    "plants",
    "nodes",
    "open %",
    "cut",
    "scout",
    "id",
    "note",
)


def never_visited(visits: Sequence[Visit], fields: Mapping[str, Field]) -> list[Field]:
    """The fields none of the visits went to."""
    seen = {visit.field_id for visit in visits}
    return [field for field in fields.values() if field.id not in seen]


def visit_rows(
    visits: Sequence[Visit],
    missing: Sequence[Field],
    fields: Mapping[str, Field],
    taken_back: Mapping[UUID, Retraction],
    now: datetime,
) -> list[tuple[str, ...]]:
    """Rows under `VISIT_HEADERS`; fields without a visit come first and say so."""
    rows = [(field.name, "never", *[""] * 8) for field in missing]
    return rows + [_row(visit, fields, taken_back, now) for visit in visits]


def _row(
    visit: Visit,
    fields: Mapping[str, Field],
    taken_back: Mapping[UUID, Retraction],
    now: datetime,
) -> tuple[str, ...]:
    field = fields.get(visit.field_id)
    zone = ZoneInfo(field.time_zone if field else "UTC")
    cut = ""
    if visit.bolls_cut is not None:
        mature = "?" if visit.bolls_cut_mature is None else visit.bolls_cut_mature
        cut = f"{mature} of {visit.bolls_cut}"
    return (
        field.name if field else f"{visit.field_id} (not registered)",
        f"{visit.observed_utc.astimezone(zone):%a %-d %b %H:%M}",
        age((now - visit.observed_utc).total_seconds() / 3600),
        _shown(visit.plants_counted),
        _shown(visit.nodes_above_cracked_boll),
        _shown(visit.percent_open),
        cut,
        visit.scout,
        short_id(visit.uuid),
        marked_note(visit.uuid, visit.note, taken_back, zone),
    )


def _shown(value: float | None) -> str:
    return "" if value is None else amount(value)


def visits_csv(visits: Sequence[Visit], fields: Mapping[str, Field]) -> str:
    """The visits under the columns that the import reads."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(COLUMNS)
    for visit in visits:
        writer.writerow([safe_cell(_column(visit, column, fields)) for column in COLUMNS])
    return text.getvalue()


def _column(visit: Visit, column: str, fields: Mapping[str, Field]) -> object:
    if column == "observed":
        field = fields.get(visit.field_id)
        zone = ZoneInfo(field.time_zone if field else "UTC")
        return visit.observed_utc.astimezone(zone).isoformat()
    value = getattr(visit, column)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return " ".join(str(one).removesuffix(".0") for one in value)
    return str(value) if column == "uuid" else value
