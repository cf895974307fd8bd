"""The gate of a field: where rigs come to, which should be near the field itself."""

from config.coordinates import Box, slip
from config.field_row import FieldRow, FieldsReading
from config.geometry import miles_apart

#: How far a gate may lie from its field's point without a warning [miles]. Judgement: a square
#: field of 5,000 acres is less than 3 miles across.
ENTRY_FAR_MI = 3.0


def check_entry(
    row: FieldRow, point: tuple[float, float], others: Box | None, reading: FieldsReading
) -> None:
    """Note a gate far from its field, and one whose coordinates look like a slip.

    Parameters
    ----------
    row
        The field.
    point
        Latitude and longitude of the field.
    others
        A box around the middle of the farm's fields.
    reading
        Takes the faults and the warnings.
    """
    latitude, longitude = row.cells.get("entry_latitude"), row.cells.get("entry_longitude")
    if not (isinstance(latitude, int | float) and isinstance(longitude, int | float)):
        return
    if abs(latitude) > 90 or abs(longitude) > 180:
        return  # told by the bounds of the field
    away_mi = miles_apart(point, (latitude, longitude))
    if away_mi <= ENTRY_FAR_MI:
        return
    if found := slip(latitude, longitude, others):
        keys = ("entry_latitude", "entry_longitude")
        reading.fault(row, f"entry_{found[0]}", found[1], also=keys)
        return
    words = f"got a gate {away_mi:.1f} miles from its field; rigs are sent there: check it"
    reading.warn(row.line, row.key("entry_latitude"), words)
