"""Fields from a GeoJSON feature collection (RFC 7946, 2016: longitude first, WGS 84)."""

import json
import re

from config.csv_fields import SLIP_LIKENESS, number_from
from config.field_row import FIELD_KEYS, NUMBER_KEYS, FieldRow, FieldsReading, house_key
from config.geometry import place_of
from config.nearest import did_you_mean

#: Names of the one coordinate system GeoJSON knows, as older files spell it.
_WGS84_NAMES = ("CRS84", "4326")
#: What map programs write beside a geometry that tells the place already; one is much like the
#: longitude of a gate.
_MAP_KEYS = ("latitude", "longitude")


def read_geojson_fields(text: str, reading: FieldsReading) -> None:
    """Add a row for every feature in ``text``, and a fault for every one that cannot be read."""
    try:
        raw = json.loads(text, parse_constant=_refuse_constant, object_pairs_hook=_without_repeats)
    except json.JSONDecodeError as error:
        words = f"got text that is not JSON ({error.msg.lower()}), wanted GeoJSON; export it again"
        reading.error(error.lineno, f"column {error.colno}", words)
        return
    except (ValueError, RecursionError) as error:
        words = str(error) if isinstance(error, ValueError) else "got brackets without end"
        reading.error(1, "file", f"{words}; export it again")
        return
    features = raw.get("features") if isinstance(raw, dict) else None
    if not isinstance(features, list) or raw.get("type") != "FeatureCollection":
        words = (
            "got no FeatureCollection, wanted one with a feature for each field; export it again"
        )
        reading.error(1, "type", words)
        return
    if _is_projected(raw.get("crs")):
        words = "got a projected coordinate system, wanted WGS 84 degrees; export it in EPSG:4326"
        reading.error(1, "crs", words)
        return
    lines = _feature_lines(text, len(features))
    _near_misses(features, lines, reading)
    for place, feature in enumerate(features):
        _read_feature(place, feature, lines[place], reading)


def _refuse_constant(name: str) -> float:
    raise ValueError(f"got {name}, wanted numbers that are finite")


def _without_repeats(pairs: list[tuple[str, object]]) -> dict[str, object]:
    table = dict(pairs)
    if len(table) < len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key in keys if keys.count(key) > 1)
        raise ValueError(f'got "{twice[:40]}" twice in one object, wanted it once')
    return table


def _is_projected(crs: object) -> bool:
    return crs is not None and not any(name in json.dumps(crs) for name in _WGS84_NAMES)


def _feature_lines(text: str, count: int) -> list[int]:
    """The line each feature starts on; 1 for all where they cannot be told apart."""
    opening = re.search(r'"features"\s*:\s*\[', text)
    lines: list[int] = []
    place, line, counted = (opening.end() if opening else 0), 1, 0
    decoder = json.JSONDecoder()
    try:
        while len(lines) < count:
            gap = re.compile(r"[\s,]*").match(text, place)
            place = gap.end() if gap else place
            line, counted = line + text.count("\n", counted, place), place
            lines.append(line)
            place = decoder.raw_decode(text, place)[1]
    except json.JSONDecodeError:
        return [1] * count
    return lines


def _properties(feature: object) -> dict[str, object]:
    found = feature.get("properties") if isinstance(feature, dict) else None
    return {house_key(key): one for key, one in found.items()} if isinstance(found, dict) else {}


def _near_misses(features: list[object], lines: list[int], reading: FieldsReading) -> None:
    """Faults for misspelt properties; properties of other programs are left alone."""
    first_at: dict[str, int] = {}
    for place, feature in enumerate(features):
        for key in _properties(feature):
            first_at.setdefault(key, place)
    absent = set(FIELD_KEYS) - set(first_at)
    for key, place in first_at.items():
        known = key in FIELD_KEYS or key in _MAP_KEYS
        near = "" if known else did_you_mean(key, absent, SLIP_LIKENESS)
        if near:
            words = f"got an unknown property, wanted a known one; {near}"
            reading.error(lines[place], f"features[{place}].{key}", words)


def _read_feature(place: int, feature: object, line: int, reading: FieldsReading) -> None:
    cells = {key: one for key, one in _properties(feature).items() if key in FIELD_KEYS}
    own = feature if isinstance(feature, dict) else {}
    given = cells.get("id", own.get("id"))
    cells["id"] = _id_text(given)
    label = f'features[{place}] (id "{cells["id"]}")' if cells["id"] else f"features[{place}]"
    filled = {key: one.strip() if isinstance(one, str) else one for key, one in cells.items()}
    row = FieldRow(line, label, {key: one for key, one in filled.items() if one not in (None, "")})
    for key in NUMBER_KEYS:
        if isinstance(text := row.cells.get(key), str):
            try:
                row.cells[key] = number_from(text)
            except ValueError as error:
                reading.fault(row, key, str(error))
    try:
        row.place = place_of(own.get("geometry"))
    except ValueError as error:
        reading.fault(row, "geometry", str(error), also=("latitude", "longitude", "acres"))
    reading.rows.append(row)


def _id_text(given: object) -> object:
    """An id as text: numbers as people write them, what is neither text nor number unchanged."""
    if isinstance(given, bool) or not isinstance(given, (int, float)):
        return given
    return str(int(given)) if isinstance(given, int) or given.is_integer() else str(given)
