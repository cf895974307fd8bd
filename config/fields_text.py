"""The text of a fields file, in whatever encoding a spreadsheet left it."""

from pathlib import Path

from config.field_row import FieldsReading
from config.masked import shown

#: Largest fields file read [bytes].
SIZE_MAX_BYTES = 50_000_000
GEOJSON_ENDINGS = (".geojson", ".json")
TABLE_ENDINGS = (".csv", ".tsv", ".txt")

_UTF16_MARKS = (b"\xff\xfe", b"\xfe\xff")


def fields_text(path: Path, reading: FieldsReading) -> str | None:
    """The text of ``path``, or None after noting why it cannot be read.

    UTF-8 with or without a mark, UTF-16 with one, else Windows-1252 with a warning.
    """
    if path.suffix.lower() not in GEOJSON_ENDINGS + TABLE_ENDINGS:
        words = f"got a file ending in {shown(path.suffix)}, wanted .geojson or .csv; export it so"
        reading.error(1, "file", words)
        return None
    try:
        raw = path.read_bytes()
    except OSError as error:
        reason = (error.strerror or "no reason given").lower()
        reading.error(1, "file", f"got no file to read ({reason}), wanted one; check farm.fields")
        return None
    if len(raw) > SIZE_MAX_BYTES:
        words = f"got {len(raw):,} bytes, wanted at most {SIZE_MAX_BYTES:,}; is it the right file?"
        reading.error(1, "file", words)
        return None
    return _decoded(raw, reading)


def _decoded(raw: bytes, reading: FieldsReading) -> str | None:
    is_utf16 = raw.startswith(_UTF16_MARKS)
    if b"\0" in raw and not is_utf16:
        reading.error(1, "file", "got a file that is not text, wanted .geojson or .csv; export it")
        return None
    try:
        return raw.decode("utf-16" if is_utf16 else "utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
    try:
        text = raw.decode("cp1252")
    except UnicodeDecodeError:
        words = "got text in an unknown encoding, wanted UTF-8; save the file as UTF-8"
        reading.error(line, "file", words)
        return None
    reading.warn(line, "file", "got text that is not UTF-8, read as Windows-1252; check the names")
    return text
