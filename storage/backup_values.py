"""Values of columns as JSON holds them, and back, without a database's own types."""

from base64 import b64decode, b64encode
from collections.abc import Mapping
from datetime import UTC, date, datetime
from typing import Any, Literal

import sqlalchemy as sa

from storage.utc_time import UtcTime

Kind = Literal["text", "whole", "yes_no", "time", "date", "bytes"]

_TYPES: dict[Kind, type[sa.types.TypeEngine[Any]]] = {
    "text": sa.Text,
    "whole": sa.Integer,
    "yes_no": sa.Boolean,
    "time": UtcTime,
    "date": sa.Date,
    "bytes": sa.LargeBinary,
}


def kind_of(column: sa.Column[Any]) -> Kind:
    """What a column holds; raises TypeError for a type that backups do not know."""
    for kind, known in _TYPES.items():
        if isinstance(column.type, sa.String if kind == "text" else known):
            return kind
    raise TypeError(f"{column}: backups do not know columns of type {column.type!r}")


def light_table(name: str, columns: Mapping[str, Kind]) -> sa.TableClause:
    """A table by its columns alone, whatever version of it the database has."""
    return sa.table(name, *(sa.column(one, _TYPES[kind]()) for one, kind in columns.items()))


def encoded(value: object) -> object:
    """A value as JSON holds it: times in UTC, bytes in base 64."""
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, bytes):
        return b64encode(value).decode("ascii")
    return value


def decoded(value: Any, kind: Kind) -> object:
    """The value that `encoded` gave; raises ValueError or TypeError where it is none."""
    if value is None:
        return None
    if kind == "time":
        return datetime.fromisoformat(value)
    if kind == "date":
        return date.fromisoformat(value)
    if kind == "bytes":
        return b64decode(value, validate=True)
    wanted: type = {"text": str, "whole": int, "yes_no": bool}[kind]
    if type(value) is not wanted:
        raise TypeError(f"got {type(value).__name__}, wanted {kind}")
    return value
