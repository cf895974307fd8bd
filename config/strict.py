"""Tables checked against a settings class, types as written: "12" is not 12, true is not 1."""

import json
from datetime import date, datetime, time
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from config.key_path import Path
from config.say import said

Model = TypeVar("Model", bound=BaseModel)


def strictly(model: type[Model], raw: object) -> tuple[Model | None, list[tuple[Path, str]]]:
    """``raw`` as ``model``, or None, and what is wrong with it as (path, words).

    TOML and JSON both know text, numbers and lists, so going through JSON keeps the types apart
    and still lets a list become a tuple and text become a choice.
    """
    try:
        return model.model_validate_json(json.dumps(raw, default=_text_of), strict=True), []
    except ValidationError as error:
        return None, list(dict.fromkeys(said(model, raw, error)))


def _text_of(value: object) -> str:
    if isinstance(value, (date, datetime, time)):
        return value.isoformat()
    raise TypeError(f"got {type(value).__name__}, which neither TOML nor JSON can hold")
