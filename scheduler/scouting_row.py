"""One scouting visit from the texts a person wrote down.

Every refusal is one line: column, what was got, what is wanted. A number is never guessed: what
cannot be read is refused, and what was left empty was not counted.
"""

import json
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from difflib import get_close_matches
from typing import Any
from uuid import NAMESPACE_URL, UUID, uuid5
from zoneinfo import ZoneInfo

from farm.field import Field
from farm.records import Visit
from farm.visit_counts import settled_counts
from scheduler.scouting_cells import measure, measures, whole, wholes, yes_no

WHOLE_COUNTS = (
    "plants_counted",
    "bolls_cut",
    "bolls_cut_mature",
    "vegetative_bolls_cut",
    "vegetative_bolls_mature",
)
MEASURES = ("nodes_above_cracked_boll", "percent_open")
BOLLS = ("bolls_open", "bolls_closed")
LISTS = ("plant_nodes", "cut_stages")
#: Columns that came later; where they are empty a visit keeps the uuid it had without them.
LATER = (*LISTS, *BOLLS, "plants_per_ft", "fruiting_gap", "leaf_drop_pct")
TEXTS = {"scout": 80, "note": 500}
COLUMNS = (
    "field_id",
    "observed",
    "scout",
    "plants_counted",
    *MEASURES,
    *WHOLE_COUNTS[1:],
    *LATER,
    "windshield",
    "note",
    "uuid",
)

#: How far ahead of our clock a visit may be dated [h]; phones and computers disagree a little.
FUTURE_TOLERANCE_H = 1.0

_NAMESPACE = uuid5(NAMESPACE_URL, "warmspell:visit")


class RowError(ValueError):
    """A row that was refused; ``problems`` are (column, what is wrong) pairs."""

    def __init__(self, problems: list[tuple[str, str]]) -> None:
        super().__init__("; ".join(f"{column}: {problem}" for column, problem in problems))
        self.problems = problems


def visit_from_texts(
    texts: Mapping[str, str],
    fields: Mapping[str, Field],
    now: datetime,
    *,
    decimal_comma: bool = False,
) -> Visit:
    """The visit that ``texts`` (column to text) describe.

    A time without an offset is in the field's zone. A date alone counts from its first minute,
    the oldest the visit can be.

    Parameters
    ----------
    fields
        Registered fields by id.
    now
        Aware time; visits dated more than an hour after it are refused.
    decimal_comma
        Whether ``3,5`` is a number here.

    Returns
    -------
    Visit
        Its uuid is the one given, else one made from the content, so that the same row read
        again is the same visit.

    Raises
    ------
    RowError
        With every problem of the row.
    """
    cells = {column: texts.get(column, "").strip() for column in COLUMNS}
    problems: list[tuple[str, str]] = []
    field = _field(cells["field_id"], fields, problems)
    observed = _observed(cells["observed"], field, now, problems)
    figures = {column: whole(column, cells[column], problems) for column in WHOLE_COUNTS}
    shares = {
        column: measure(column, cells[column], decimal_comma, problems) for column in MEASURES
    }
    later = _later(cells, decimal_comma, problems)
    windshield = yes_no("windshield", cells["windshield"], problems)
    for column, longest in TEXTS.items():
        if len(cells[column]) > longest:
            problems.append(
                (column, f"got {len(cells[column])} letters, wanted at most {longest}; shorten it")
            )
    given = _uuid(cells["uuid"], problems)
    content: dict[str, Any] = {**figures, **shares}
    content |= {"scout": cells["scout"], "note": cells["note"], "windshield": windshield} | later
    if not problems:
        _agree(content, problems)
    if problems or field is None or observed is None:
        raise RowError(problems)
    return Visit.model_validate(
        {
            "uuid": given or _content_uuid(field.id, observed, content),
            "field_id": field.id,
            "observed_utc": observed,
            **content,
        }
    )


def _later(
    cells: Mapping[str, str], decimal_comma: bool, problems: list[tuple[str, str]]
) -> dict[str, Any]:
    """What was written in the columns of `LATER`, without those that were left empty."""
    told = {
        "plant_nodes": measures("plant_nodes", cells["plant_nodes"], problems),
        "cut_stages": wholes("cut_stages", cells["cut_stages"], problems),
        "plants_per_ft": measure("plants_per_ft", cells["plants_per_ft"], decimal_comma, problems),
        "leaf_drop_pct": measure("leaf_drop_pct", cells["leaf_drop_pct"], decimal_comma, problems),
        "fruiting_gap": yes_no("fruiting_gap", cells["fruiting_gap"], problems),
        **{column: whole(column, cells[column], problems) for column in BOLLS},
    }
    return {
        column: value
        for column, value in told.items()
        if value != Visit.model_fields[column].default
    }


def _content_uuid(field_id: str, observed: datetime, content: Mapping[str, object]) -> UUID:
    said = json.dumps([field_id, observed.isoformat(), content], sort_keys=True, ensure_ascii=True)
    return uuid5(_NAMESPACE, said)


def _field(
    field_id: str, fields: Mapping[str, Field], problems: list[tuple[str, str]]
) -> Field | None:
    if field_id in fields:
        return fields[field_id]
    if not field_id:
        problems.append(("field_id", "got nothing, wanted the id of a registered field"))
        return None
    hint = _meant(field_id, fields)
    problems.append(("field_id", f'got "{field_id}", wanted the id of a registered field{hint}'))
    return None


def _meant(text: str, fields: Mapping[str, Field]) -> str:
    spellings = {one.name.casefold(): one.id for one in fields.values()}
    spellings |= {one.id.casefold(): one.id for one in fields.values()}
    close = get_close_matches(text.casefold(), spellings, n=1, cutoff=0.6)
    return f'; did you mean "{spellings[close[0]]}"?' if close else ""


def _observed(
    text: str, field: Field | None, now: datetime, problems: list[tuple[str, str]]
) -> datetime | None:
    wanted = "wanted a date or time such as 2026-10-04 or 2026-10-04T09:30"
    if not text:
        problems.append(("observed", f"got nothing, {wanted}"))
        return None
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        problems.append(("observed", f'got "{text}", {wanted}'))
        return None
    if field is None:
        return None
    zone = ZoneInfo(field.time_zone)
    if moment.tzinfo is None:
        moment = moment.replace(tzinfo=zone)
    if moment > now + timedelta(hours=FUTURE_TOLERANCE_H):
        problems.append(
            ("observed", f'got "{text}", wanted no later than now; check the date and the zone')
        )
    if field.planted_on and moment.astimezone(zone).date() < field.planted_on:
        problems.append(
            ("observed", f'got "{text}", wanted after the planting on {field.planted_on}')
        )
    return moment.astimezone(UTC)


def _uuid(text: str, problems: list[tuple[str, str]]) -> UUID | None:
    try:
        return UUID(text) if text else None
    except ValueError:
        problems.append(("uuid", f'got "{text}", wanted a UUID, or leave it empty'))
        return None


#: What `settled_counts` is asked with.
_SETTLED = (*LISTS, *BOLLS, *MEASURES, "plants_counted", "bolls_cut", "bolls_cut_mature")


def _agree(content: Mapping[str, Any], problems: list[tuple[str, str]]) -> None:
    asked = {name: content[name] for name in (*_SETTLED, "windshield") if name in content}
    worked_out, against = settled_counts(**asked)
    problems += against
    figures = {**content, **worked_out}
    for part, of in (
        ("bolls_cut_mature", "bolls_cut"),
        ("vegetative_bolls_mature", "vegetative_bolls_cut"),
    ):
        mature, cut = figures[part], figures[of]
        if mature is not None and (cut is None or mature > cut):
            told = "none" if cut is None else str(cut)
            problems.append((part, f'got "{mature}" with {of} {told}, wanted at most as many'))
    counts = (*MEASURES, "bolls_cut", "vegetative_bolls_cut")
    nothing = all(figures[column] is None for column in counts) and "leaf_drop_pct" not in figures
    if not against and nothing:
        problems.append(
            (
                "nodes_above_cracked_boll",
                "got no count at all, wanted nodes, percent open, cut bolls or leaf drop",
            )
        )
