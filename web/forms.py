"""A form brings what its page asked for, and nothing that was slipped in."""

from collections.abc import Iterator

from fastapi import HTTPException, Request
from fastapi.dependencies.models import Dependant
from pydantic import BaseModel


def refuse_strange_fields(request: Request, sent: set[str]) -> None:
    """Refuse fields that a route does not declare; a route that declares none reads its own.

    Raises
    ------
    HTTPException
        Names the first strange one, 422.
    """
    dependant = getattr(request.scope.get("route"), "dependant", None)
    known = set(_declared(dependant)) if isinstance(dependant, Dependant) else set()
    strange = sorted(sent - known)
    if known and strange:
        raise HTTPException(422, f"got a field this form does not have: {strange[0][:40]!r}")


def _declared(dependant: Dependant) -> Iterator[str]:
    for one in dependant.body_params:
        kind = one.field_info.annotation
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            yield from (field.alias or name for name, field in kind.model_fields.items())
        yield one.alias
    for below in dependant.dependencies:
        yield from _declared(below)
