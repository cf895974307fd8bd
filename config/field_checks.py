"""One field checked: its names, its place, its acres, its bounds."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from config.coordinates import NORTH_AMERICA, Box, slip
from config.entry_check import check_entry
from config.field_row import FieldRow, FieldsReading
from config.masked import shown
from config.nearest import did_you_mean, listed
from config.strict import strictly
from config.zones import BY_FIELD, zone_at
from farm.field import Field

#: Stated and measured acres further apart than this share are worth a look.
ACRES_APART_FRAC = 0.2


@dataclass(frozen=True)
class FieldsContext:
    """What the rest of the configuration knows that fields are checked against.

    ``zone_rule`` is an IANA name or "by field"; ``nws_leads`` tells by region and id whether a
    field's forecast comes from the service that answers for the United States only. ``others`` is
    a box around the middle of the farm's fields.
    """

    grower_ids: Sequence[str]
    treatment_ids: Sequence[str]
    regions: Sequence[str]
    zone_rule: str
    nws_leads: Callable[[object, object], bool]
    others: Box | None = None


def checked_field(row: FieldRow, context: FieldsContext, reading: FieldsReading) -> Field | None:
    """The field of ``row``, or None after noting what is wrong with it.

    Where the zone is taken from the place, the field's ``time_zone`` is left empty.
    """
    for key, words in _unknown_names(row, context):
        reading.fault(row, key, words)
    if point := point_of(row):
        _check_point(row, point, context, reading)
        check_entry(row, point, context.others, reading)
    values = dict(row.cells)
    if row.place:
        _check_acres(row, reading)
        values.setdefault("acres", row.place.measured_acres)
        values |= {"latitude": row.place.latitude, "longitude": row.place.longitude}
        values["outline"] = row.place.outline
    values["time_zone"] = "" if context.zone_rule == BY_FIELD else context.zone_rule
    values = {key: one for key, one in values.items() if one is not None}
    field, faults = strictly(Field, values)
    for where, words in faults:
        key = str(where[0]) if where else "field"
        if key not in row.told:
            reading.fault(row, key, words)
    return None if row.told else field


def point_of(row: FieldRow) -> tuple[float, float] | None:
    """Latitude and longitude of a row, from its geometry or its cells; None where unknown."""
    if row.place:
        return row.place.latitude, row.place.longitude
    latitude, longitude = row.cells.get("latitude"), row.cells.get("longitude")
    if isinstance(latitude, float) and isinstance(longitude, float):
        return latitude, longitude
    return None


def _unknown_names(row: FieldRow, context: FieldsContext) -> Iterator[tuple[str, str]]:
    for key, known, what in (
        ("grower_id", context.grower_ids, "the id of a grower"),
        ("treatment_id", context.treatment_ids, "the id of a treatment"),
        ("region", context.regions, "the name of a region"),
    ):
        one = row.cells.get(key)
        if isinstance(one, str) and one not in known:
            near = did_you_mean(one, known) or "add it to the configuration or correct it here"
            there = f", such as {listed(known)}" if known else ""
            yield key, f"got {shown(one)}, wanted {what}{there}; {near}"
    for key in ("id", "name", "sensitive"):
        one = row.cells.get(key)
        if isinstance(one, str) and not one.isprintable():
            yield key, f"got {shown(one)}, wanted text on one line; delete the hidden signs"


def _check_point(
    row: FieldRow, point: tuple[float, float], context: FieldsContext, reading: FieldsReading
) -> None:
    latitude, longitude = point
    if NORTH_AMERICA.holds(latitude, longitude):
        return
    is_on_earth = abs(latitude) <= 90 and abs(longitude) <= 180
    if is_on_earth and zone_at(latitude, longitude) == context.zone_rule:
        return  # far from here, and the farm says so by its time zone
    found = slip(latitude, longitude, context.others)
    if found:
        is_unmeasured = row.place is not None and row.place.measured_acres is None
        also = ("latitude", "longitude", *(("acres",) if is_unmeasured else ()))
        reading.fault(row, found[0], found[1], also=also)
    elif context.nws_leads(row.cells.get("region"), row.cells.get("id")):
        words = "got a place outside the country of the weather service; its call will be unknown"
        reading.warn(row.line, row.key("latitude"), words)


def _check_acres(row: FieldRow, reading: FieldsReading) -> None:
    stated, measured = row.cells.get("acres"), row.place.measured_acres if row.place else None
    if measured is None or not isinstance(stated, (int, float)) or isinstance(stated, bool):
        return
    if abs(stated - measured) > ACRES_APART_FRAC * measured:
        reading.warn(
            row.line,
            row.key("acres"),
            f"got {stated:g} acres, but the outline measures {measured:.1f}; "
            f"{stated:g} is used as the sprayed area: check it",
        )
