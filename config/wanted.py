"""What a settings key wants, in words, from the bounds its class declares."""

from datetime import date, datetime, time
from enum import Enum
from typing import Any, Literal, get_args, get_origin

from pydantic import AwareDatetime, BaseModel
from pydantic.fields import FieldInfo

from config.key_model import KeyModel, bare_type

#: Units by the ending of a key, longest first.
_UNITS = (
    ("_f_days", "F days"),
    ("refill_min", "minutes"),
    ("_points", "points"),
    ("acres", "acres"),
    ("_days", "days"),
    ("_frac", "as a share of 1"),
    ("_mph", "mph"),
    ("_pct", "percent"),
    ("_gal", "gallons"),
    ("_in", "inches"),
    ("_ft", "feet"),
    ("_h", "hours"),
    ("_f", "deg F"),
    ("_s", "seconds"),
)


def wanted(declared: KeyModel, key: str, is_number: bool = False) -> str:
    """What belongs at ``key``, such as ``0 to 20 mph``.

    Parameters
    ----------
    declared
        What the settings class says about it.
    key
        Its name, for the unit.
    is_number
        Whether a number was got, so that saying "a number" would tell nothing.
    """
    kind = bare_type(declared.type)
    if get_origin(kind) is Literal:
        return "one of " + ", ".join(f'"{choice}"' for choice in get_args(kind))
    if isinstance(kind, type) and issubclass(kind, Enum):
        return "one of " + ", ".join(f'"{choice.value}"' for choice in kind)
    if kind in (int, float):
        return _number(kind, declared.field, key, is_number)
    if kind is str:
        return "text in quotes" + _length(declared.field)
    return _other(kind, key)


def _number(kind: Any, info: FieldInfo | None, key: str, is_number: bool) -> str:
    span = number_span(info)
    unit = next((f" {name}" for ending, name in _UNITS if key.endswith(ending)), "")
    plain = "a whole number" if kind is int else "a number"
    if not span:
        return plain + unit
    return (span if is_number and kind is float else f"{plain}, {span}") + unit


def number_span(info: FieldInfo | None) -> str:
    """The bounds of a number, such as ``above 0, at most 96``; empty where there are none."""
    bound = _bounds(info)
    low = f"{bound['ge']:.10g}" if "ge" in bound else ""
    high = f"{bound['le']:.10g}" if "le" in bound else ""
    if low and high:
        return f"{low} to {high}"
    parts = [f"{low} or more" if low else "", f"above {bound['gt']:.10g}" if "gt" in bound else ""]
    parts += [
        f"at most {high}" if high else "",
        f"below {bound['lt']:.10g}" if "lt" in bound else "",
    ]
    return ", ".join(part for part in parts if part)


def _bounds(info: FieldInfo | None) -> dict[str, float]:
    return {
        name: getattr(one, name)
        for one in (info.metadata if info else ())
        for name in ("ge", "gt", "le", "lt")
        if getattr(one, name, None) is not None
    }


def _length(info: FieldInfo | None) -> str:
    length = {
        name: getattr(one, name)
        for one in (info.metadata if info else ())
        for name in ("min_length", "max_length")
        if getattr(one, name, None) is not None
    }
    if "max_length" in length:
        return f", {length.get('min_length', 0)} to {length['max_length']} characters"
    return f", at least {length['min_length']} characters" if "min_length" in length else ""


def _other(kind: Any, key: str) -> str:
    if kind is bool:
        return "true or false"
    if kind in (datetime, AwareDatetime):
        return "a moment with its offset from UTC, such as 2026-10-06T11:10:00Z"
    if kind is date:
        return "a date such as 2026-05-12"
    if kind is time:
        return 'a time such as "06:00"'
    inner = [bare_type(one) for one in get_args(kind)]
    if get_origin(kind) is tuple:
        if isinstance(inner[0], type) and issubclass(inner[0], BaseModel):
            return f"at least one table [[{key}]]"
        return "a list" if Ellipsis in inner else f"a list of {len(inner)}"
    return f"a table [{key}]" if key else "a table"
