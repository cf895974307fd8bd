"""Which settings class and which of its fields a path of keys leads to."""

from dataclasses import dataclass
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from config.key_path import Path


@dataclass(frozen=True)
class KeyModel:
    """What is declared at a path: its type, its field with bounds, and the class it is in."""

    type: Any
    field: FieldInfo | None = None
    owner: type[BaseModel] | None = None


def key_model(root: type[BaseModel], path: Path) -> KeyModel:
    """Follow ``path`` from ``root``; what is not declared has type None."""
    here = KeyModel(root)
    for part in path:
        here = _step(here, part)
    return here


def _step(here: KeyModel, part: str | int) -> KeyModel:
    declared = bare_type(here.type)
    if isinstance(declared, type) and issubclass(declared, BaseModel):
        info = declared.model_fields.get(str(part))
        return KeyModel(info.annotation if info else None, info, declared)
    inner = [one for one in get_args(declared) if one is not Ellipsis]
    if get_origin(declared) is dict:
        return KeyModel(inner[1])
    if inner and isinstance(part, int):
        return KeyModel(inner[min(part, len(inner) - 1)])
    return KeyModel(None)


def bare_type(declared: Any) -> Any:
    """``declared`` without "or None" and without annotations."""
    if get_origin(declared) is Annotated:
        return bare_type(get_args(declared)[0])
    if get_origin(declared) in (Union, UnionType):
        return bare_type(next(one for one in get_args(declared) if one is not type(None)))
    return declared
