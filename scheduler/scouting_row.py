"""One scouting visit from the texts a person wrote down.

Every refusal is one line: column, what was got, what is wanted. A number is never guessed: what
cannot be read is refused, and what was left empty was not counted.
"""

import json
import math
import re
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from difflib import get_close_matches
from uuid import NAMESPACE_URL, UUID, uuid5
from zoneinfo import ZoneInfo

from farm.field import Field
from farm.records import Visit

WHOLE_COUNTS = (
    "plants_counted",
    "bolls_cut",
    "bolls_cut_mature",
    "vegetative_bolls_cut",
    "vegetative_bolls_mature",
)
MEASURES = ("nodes_above_cracked_boll", "percent_open")
TEXTS = {"scout": 80, "note": 500}
COLUMNS = (
    "field_id",
    "observed",
    "scout",
    "plants_counted",
    *MEASURES,
    *WHOLE_COUNTS[1:],
    "windshield",
    "note",
    "uuid",
)

#: How far ahead of our clock a visit may be dated [h]; phones and computers disagree a little.
FUTURE_TOLERANCE_H = 1.0

_YES_NO = {"": False, "no": False, "n": False, "false": False, "0": False} | dict.fromkeys(
    ("yes", "y", "true", "1", "x"), True
)
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
    figures: dict[str, float | int | None] = {
        **{column: _whole(column, cells[column], problems) for column in WHOLE_COUNTS},
        **{column: _measure(column, cells[column], decimal_comma, problems) for column in MEASURES},
    }
    windshield = _yes_no(cells["windshield"], problems)
    for column, longest in TEXTS.items():
        if len(cells[column]) > longest:
            problems.append(
                (column, f"got {len(cells[column])} letters, wanted at most {longest}; shorten it")
            )
    given = _uuid(cells["uuid"], problems)
    if not problems:
        _agree(figures, problems)
    if problems or field is None or observed is None:
        raise RowError(problems)
    content = {**figures, "scout": cells["scout"], "note": cells["note"], "windshield": windshield}
    return Visit.model_validate(
        {
            "uuid": given or _content_uuid(field.id, observed, content),
            "field_id": field.id,
            "observed_utc": observed,
            **content,
        }
    )


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


def _limits(column: str) -> tuple[float, float]:
    low, high = -math.inf, math.inf
    for mark in Visit.model_fields[column].metadata:
        low, high = float(getattr(mark, "ge", low)), float(getattr(mark, "le", high))
    return low, high


def _whole(column: str, text: str, problems: list[tuple[str, str]]) -> int | None:
    if not text:
        return None
    low, high = _limits(column)
    # Spreadsheets write whole numbers as 12.0 once a column had a gap.
    if re.fullmatch(r"\d{1,6}(\.0+)?", text) and low <= int(float(text)) <= high:
        return int(float(text))
    problems.append((column, f'got "{text}", wanted a whole number {low:g} to {high:g}'))
    return None


def _measure(
    column: str, text: str, decimal_comma: bool, problems: list[tuple[str, str]]
) -> float | None:
    if not text:
        return None
    low, high = _limits(column)
    plain = text.replace(",", ".") if decimal_comma else text
    if re.fullmatch(r"-?\d{1,6}(\.\d{1,12})?", plain) and low <= float(plain) <= high:
        return float(plain)
    hint = "; write the decimal with a point" if re.fullmatch(r"\d+,\d+", plain) else ""
    problems.append((column, f'got "{text}", wanted a number {low:g} to {high:g}{hint}'))
    return None


def _yes_no(text: str, problems: list[tuple[str, str]]) -> bool:
    if text.casefold() in _YES_NO:
        return _YES_NO[text.casefold()]
    problems.append(("windshield", f'got "{text}", wanted yes or no'))
    return False


def _uuid(text: str, problems: list[tuple[str, str]]) -> UUID | None:
    try:
        return UUID(text) if text else None
    except ValueError:
        problems.append(("uuid", f'got "{text}", wanted a UUID, or leave it empty'))
        return None


def _agree(figures: Mapping[str, float | int | None], problems: list[tuple[str, str]]) -> None:
    for part, whole in (
        ("bolls_cut_mature", "bolls_cut"),
        ("vegetative_bolls_mature", "vegetative_bolls_cut"),
    ):
        mature, cut = figures[part], figures[whole]
        if mature is not None and (cut is None or mature > cut):
            told = "none" if cut is None else str(cut)
            problems.append((part, f'got "{mature}" with {whole} {told}, wanted at most as many'))
    if all(figures[column] is None for column in (*MEASURES, "bolls_cut", "vegetative_bolls_cut")):
        problems.append(
            (
                "nodes_above_cracked_boll",
                "got no count at all, wanted nodes, percent open or cut bolls",
            )
        )
