"""Nouns as text that is the same whenever the noun is, with a seal that shows any change."""

import hashlib
import json
from datetime import UTC, datetime
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from storage.errors import StorageError

Noun = TypeVar("Noun", bound=BaseModel)


def text_of(noun: BaseModel) -> str:
    """The noun as JSON: keys sorted, times in UTC, what stands at its default left out.

    Defaults are left out so that an attribute added later does not change what is kept already.
    """
    utc = {name: value.astimezone(UTC) for name, value in noun if isinstance(value, datetime)}
    values = noun.model_copy(update=utc).model_dump(mode="json", exclude_defaults=True)
    return json.dumps(
        values, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    )


def seal_of(text: str) -> str:
    """SHA-256 of a record's text."""
    return hashlib.sha256(text.encode()).hexdigest()


def noun_from(text: str, model: type[Noun], where: str) -> Noun:
    """The noun a text holds; raises StorageError naming ``where`` if it cannot be read."""
    try:
        return model.model_validate_json(text)
    except ValidationError as fault:
        first = fault.errors()[0]
        key = ".".join(str(part) for part in first["loc"]) or "record"
        raise StorageError(
            f"{where}: {key}: {first['msg']}; the record is damaged or was kept by another version"
        ) from fault


def plain_text(text: str) -> str:
    """Text from outside as every database keeps it: a server takes no NUL."""
    return text.replace("\0", "\N{SYMBOL FOR NULL}")
