"""The validator's findings in the operator's words: what was got, what was wanted, what to do."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from pydantic import BaseModel, ValidationError

from config.key_model import bare_type, key_model
from config.key_path import Path, value_at
from config.masked import PRIVATE_WORDS, shown
from config.nearest import did_you_mean, listed
from config.wanted import wanted

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

#: What to do where the key itself tells.
_KEY_ADVICE = {
    "rain_free_h": "the label of each product in the mix gives it: enter the longest",
    "climate": "take the figures from the tables of a climate station nearby",
    "rigs": "enter every sprayer: speed, swath and name",
    "treatments": "enter the mix with the numbers on its labels",
    "growers": "enter who owns the fields",
    "latitude": "check for a swapped longitude",
    "longitude": "check for a swapped latitude",
    "entry_latitude": "check for a swapped longitude",
    "entry_longitude": "check for a swapped latitude",
    "acres": "enter the acres to be sprayed",
    "killing_freeze_mean": "the tables of a climate station nearby give the mean date of 28 F",
    "first_freeze_mean": "the tables of a climate station nearby give the mean date of 32 F",
    "normal_high_f": "the tables of a climate station nearby give them, Aug Sep Oct Nov Dec",
    "normal_low_f": "the tables of a climate station nearby give them, Aug Sep Oct Nov Dec",
}


def said(root: type[BaseModel], raw: object, error: ValidationError) -> Iterator[tuple[Path, str]]:
    """The path and the words of everything ``error`` holds.

    Parameters
    ----------
    root
        The settings class that refused.
    raw
        What it was given, as read from the file.
    error
        Its refusal.
    """
    for one in error.errors():
        if one["type"] == "too_short" and value_at(raw, tuple(one["loc"])):
            continue  # its entries were refused one by one, and are told one by one
        yield _said(root, raw, one)


def _said(root: type[BaseModel], raw: object, one: "ErrorDetails") -> tuple[Path, str]:
    path: Path = tuple(one["loc"])
    if one["type"] == "extra_forbidden":
        return path, _unknown_key(root, path)
    if one["type"] == "value_error":
        words = one["msg"].removeprefix("Value error, ")
        return (*path, *_key_named_in(words, value_at(raw, path))), words
    if path and isinstance(path[-1], int) and one["type"] == "missing":
        path = path[:-1]
    value = value_at(raw, path)
    key = next((part for part in reversed(path) if isinstance(part, str)), "")
    is_number = isinstance(value, (int, float)) and not isinstance(value, bool)
    want = wanted(key_model(root, path), key, is_number)
    return path, f"got {shown(value, path)}, wanted {want}; {_advice(one['type'], key, value)}"


def _key_named_in(words: str, table: object) -> Path:
    """The first key of ``table`` that ``words`` name, to point at its line."""
    if not isinstance(table, dict):
        return ()
    named = [(words.find(key), key) for key in table if key in words]
    return (min(named)[1],) if named else ()


def _unknown_key(root: type[BaseModel], path: Path) -> str:
    key, known = str(path[-1]), _keys_of(key_model(root, path[:-1]).type)
    # The first pair: a table that holds several secrets names its own first.
    secret_keys = [name for name in known if name.endswith(("_env", "_file"))][:2]
    if secret_keys and any(word in key.lower() for word in PRIVATE_WORDS):
        return (
            "got a secret, wanted none in this file; put it in an environment variable or a file "
            f"of its own and name that with {' or '.join(secret_keys)}"
        )
    home = [
        name for name in root.model_fields if key in _keys_of(root.model_fields[name].annotation)
    ]
    near = did_you_mean(key, known)
    if not near and home:
        near = f"it belongs under [{home[0]}]"
    if near:
        return f"got an unknown key, wanted a known one; {near}"
    return f"got an unknown key, wanted one of {listed(known, 40)}; delete it"


def _keys_of(declared: Any) -> list[str]:
    kind = bare_type(declared)
    is_model = isinstance(kind, type) and issubclass(kind, BaseModel)
    return list(kind.model_fields) if is_model else []


def _advice(kind: str, key: str, value: object) -> str:
    if key in _KEY_ADVICE:
        return _KEY_ADVICE[key]
    if kind == "missing":
        return "add it"
    if kind == "string_type" and isinstance(value, (int, float)):
        return "put it in quotes"
    if kind in ("float_type", "int_type") and isinstance(value, str):
        return "write the number without quotes"
    if kind in ("literal_error", "enum"):
        return "choose one of them"
    if kind.startswith(("greater", "less", "finite")):
        return "check the number and its unit"
    return "correct it"
