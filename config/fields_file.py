"""The registered fields, read from the file the configuration names and checked one by one."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path

from config.coordinates import middle_of
from config.csv_fields import read_csv_fields
from config.field_checks import FieldsContext, checked_field, point_of
from config.field_row import FieldRow, FieldsReading
from config.fields_text import GEOJSON_ENDINGS, fields_text
from config.geojson_fields import read_geojson_fields
from config.masked import shown
from config.nearest import plain
from config.problem import Findings
from config.zones import BY_FIELD, zone_at
from farm.field import Field


def read_fields(path: Path, context: FieldsContext, findings: Findings) -> tuple[Field, ...]:
    """The fields of ``path`` that pass their checks.

    Parameters
    ----------
    path
        A ``.geojson`` or ``.json`` feature collection, or a ``.csv``, ``.tsv`` or ``.txt`` table.
    context
        Growers, treatments, regions and time zone to check against.
    findings
        Takes every fault and warning, named by line.

    Returns
    -------
    tuple of Field
        In the order of the file; incomplete where ``findings`` has errors.
    """
    reading = FieldsReading(str(path), findings)
    faults_before = len(findings.errors)
    text = fields_text(path, reading)
    if text is None:
        return ()
    if path.suffix.lower() in GEOJSON_ENDINGS:
        read_geojson_fields(text, reading)
    else:
        read_csv_fields(text, reading)
    if not reading.rows and len(findings.errors) == faults_before:
        reading.error(1, "file", "got no fields, wanted at least one; add them")
    _same_ids(reading)
    points = [point for row in reading.rows if (point := point_of(row)) is not None]
    here = replace(context, others=middle_of(points))
    fields = [checked_field(row, here, reading) for row in reading.rows]
    return tuple(_with_zones([one for one in fields if one], reading, context))


def _same_ids(reading: FieldsReading) -> None:
    first_with: dict[str, FieldRow] = {}
    for row in reading.rows:
        one = row.cells.get("id")
        if not isinstance(one, str):
            continue
        first = first_with.setdefault(plain(one), row)
        if first is not row:
            reading.fault(
                row,
                "id",
                f"got {shown(one)}, wanted an id of its own; {shown(first.cells['id'])} on line "
                f"{first.line} has it too: rename one (capitals and spaces do not tell them apart)",
            )


def _with_zones(
    fields: list[Field], reading: FieldsReading, context: FieldsContext
) -> Iterator[Field]:
    if context.zone_rule != BY_FIELD:
        yield from fields
        return
    rows = {str(row.cells.get("id")): row for row in reading.rows}
    zones = [zone_at(field.latitude, field.longitude) for field in fields]
    common = most_common(zone for zone in zones if zone)
    for field, zone in zip(fields, zones, strict=True):
        row = rows[field.id]
        if zone is None and common is None:
            words = "got a place without a time zone, wanted one on land; set farm.time_zone"
            reading.error(row.line, row.key("time_zone"), words)
            continue
        if zone is None:
            words = (
                f"got a place without a time zone; the farm's, {common}, is used: check the place"
            )
            reading.warn(row.line, row.key("time_zone"), words)
        yield field.model_copy(update={"time_zone": zone or common})


def most_common(zones: Iterable[str]) -> str | None:
    """The zone that occurs most, of equals the first by name; None of none."""
    counted = Counter(zones)
    return min(counted, key=lambda name: (-counted[name], name)) if counted else None
