"""The one file a farm's database is kept in as a backup, whichever database it came from.

A zip archive with one file of JSON lines for each table and ``manifest.json``, which says how many
rows each has, what its columns hold, and the SHA-256 of its lines. Nothing in it belongs to one
database, so a farm can be moved from one to another.
"""

import json
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError
from sqlalchemy import Connection, select

from storage import schema
from storage.backup_values import Kind, decoded, encoded, kind_of, light_table
from storage.errors import StorageError
from storage.tables import metadata

MANIFEST = "manifest.json"
#: Longest manifest that is read [bytes]; more is some other file.
_MANIFEST_MAX_BYTES = 1_000_000
#: Rows read, or put in, at a time.
ROWS_AT_ONCE = 500


class TableEntry(BaseModel):
    """What a backup holds of one table."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    rows: int = Field(ge=0)
    sha256: str = Field(pattern=r"^[0-9a-f]{64}$")
    columns: dict[str, Kind]
    key: tuple[str, ...] = Field(min_length=1)


class Manifest(BaseModel):
    """What a backup holds, and of what version of the tables."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    format: Literal["warmspell backup 1"] = "warmspell backup 1"
    schema_version: str = Field(pattern=r"^\d{4}$")
    made_utc: datetime
    tables: dict[str, TableEntry]

    @property
    def rows(self) -> int:
        """Rows of all tables together."""
        return sum(entry.rows for entry in self.tables.values())


def write_tables(connection: Connection, archive: zipfile.ZipFile, now: datetime) -> Manifest:
    """Write every table as the connection sees it, and the manifest."""
    entries = {}
    for table in metadata.sorted_tables:
        columns = {column.name: kind_of(column) for column in table.columns}
        key = tuple(column.name for column in table.primary_key)
        empty = TableEntry(rows=0, sha256="0" * 64, columns=columns, key=key)
        rows, digest = 0, sha256()
        with archive.open(_member(table.name), "w", force_zip64=True) as out:
            for line in lines_of(connection, table.name, empty):
                out.write(line)
                digest.update(line)
                rows += 1
        entries[table.name] = empty.model_copy(update={"rows": rows, "sha256": digest.hexdigest()})
    found = schema.version(connection) or schema.NEWEST
    manifest = Manifest(schema_version=found, made_utc=now.astimezone(UTC), tables=entries)
    archive.writestr(MANIFEST, manifest.model_dump_json(indent=2))
    return manifest


def lines_of(connection: Connection, name: str, entry: TableEntry) -> Iterator[bytes]:
    """A table's rows in the order of its key, each a line of JSON."""
    table = light_table(name, entry.columns)
    # The order of bytes everywhere: a server may otherwise sort letters as some language does.
    server = connection.dialect.name == "postgresql"
    order = [
        table.c[one].collate("C") if server and entry.columns[one] == "text" else table.c[one]
        for one in entry.key
    ]
    asked = select(table).order_by(*order)
    # The connection's own options stay as they are.
    rows = connection.execute(asked, execution_options={"yield_per": ROWS_AT_ONCE})
    try:
        for row in rows:
            values = {
                column: encoded(value) for column, value in zip(entry.columns, row, strict=True)
            }
            text = json.dumps(values, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
            yield text.encode() + b"\n"
    except (ValueError, TypeError) as fault:
        raise StorageError(f"table {name}: a row cannot be read ({fault})") from fault


@contextmanager
def opened(path: Path) -> Iterator[tuple[zipfile.ZipFile, Manifest]]:
    """A backup and its manifest.

    Raises
    ------
    StorageError
        It cannot be read, is damaged, no backup of ours, or of a newer version.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            yield archive, _manifest(archive, path)
    except OSError as fault:
        raise StorageError(f"{path}: cannot be read: {fault.strerror or fault}") from fault
    # A RuntimeError is how zipfile says that a file bears the mark of an encrypted one, or of a
    # compression or version it does not know (NotImplementedError): one bit changed does that.
    except (zipfile.BadZipFile, zlib.error, EOFError, RuntimeError) as fault:
        raise StorageError(
            f"{path}: damaged, or not a backup of warmspell ({fault}); use another backup"
        ) from fault


def rows_of(archive: zipfile.ZipFile, name: str, entry: TableEntry) -> Iterator[dict[str, object]]:
    """The rows kept of a table, ready to be put in.

    Raises
    ------
    StorageError
        At the end, where they are not those that were written.
    """
    rows, digest = 0, sha256()
    with archive.open(_member(name)) as lines:
        for line in lines:
            rows += 1
            digest.update(line)
            yield _row(line, name, rows, entry)
    if (rows, digest.hexdigest()) != (entry.rows, entry.sha256):
        raise StorageError(
            f"{archive.filename}: table {name} is damaged: got {rows} rows, wanted {entry.rows} "
            "with the content the backup was made with; use another backup"
        )


def _row(line: bytes, name: str, number: int, entry: TableEntry) -> dict[str, object]:
    try:
        values = json.loads(line)
        return {key: decoded(values[key], kind) for key, kind in entry.columns.items()}
    except (ValueError, KeyError, TypeError) as fault:
        raise StorageError(f"backup: table {name}, line {number}: damaged ({fault})") from fault


def _manifest(archive: zipfile.ZipFile, path: Path) -> Manifest:
    try:
        size = archive.getinfo(MANIFEST).file_size
        text = archive.read(MANIFEST) if size <= _MANIFEST_MAX_BYTES else b""
        manifest = Manifest.model_validate_json(text)
        missing = [name for name in manifest.tables if _member(name) not in archive.namelist()]
    except (KeyError, ValidationError) as fault:
        raise StorageError(
            f"{path}: got no manifest that can be read, wanted a backup of warmspell; "
            "use another backup, or the warmspell that made this one"
        ) from fault
    if missing:
        raise StorageError(f"{path}: damaged: table {missing[0]} is missing; use another backup")
    schema.refuse_newer(manifest.schema_version, str(path))
    return manifest


def _member(name: str) -> str:
    return f"{name}.jsonl"
