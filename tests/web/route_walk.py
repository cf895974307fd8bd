"""Every route of the application, those that are added later too, with its addresses filled in."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

import pytest
from fastapi import FastAPI
from fastapi.dependencies.models import Dependant

from web.guard import may

#: What stands in an address, by the name it has there; None stands for the field that is asked.
FILLED: dict[str, str | None] = {
    "field_id": None,
    "field": None,
    "secret": "a-secret-that-nobody-was-given",
    "token": "a-token-that-nobody-was-given",
    "purpose": "sprayed",
    "rig_id": "wide",
    "rig": "wide",
    "date": "2026-10-06",
    "day": "2026-10-06",
    "on": "2026-10-06",
    "uuid": "5d0c3c7e-6f0d-4c55-9a0e-2f6c1d7b8e41",
    "kind": "visit",
}


@dataclass(frozen=True)
class Route:
    """One way of one route."""

    method: str
    path: str
    dependant: Dependant

    @property
    def calls(self) -> tuple[Any, ...]:
        """Everything that is asked before the route's own function."""
        return tuple(_calls(self.dependant))

    @property
    def deeds(self) -> set[str]:
        """What a reader must be allowed to do."""
        return {one.deed for one in self.calls if isinstance(one, may)}

    def address(self, field_id: str, **more: str) -> str:
        """Its address about a field; what is asked after ``?`` asks for that field too."""
        path = self.path
        for one in self.dependant.path_params:
            filled = more.get(one.alias, FILLED.get(one.alias, ""))
            if filled == "":
                pytest.fail(f"route_walk: say what to fill in for {one.alias} of {self.path}")
            value = quote(field_id if filled is None else filled, safe="")
            path = path.replace("{" + one.alias + "}", value)
            path = path.replace("{" + one.alias + ":path}", value)
        asked = [
            f"{one.alias}={quote(field_id, safe='')}"
            for one in self.dependant.query_params
            if FILLED.get(one.alias, "") is None
        ]
        return path + ("?" + "&".join(asked) if asked else "")


def routes_of(app: FastAPI) -> list[Route]:
    """Every route that has a function of ours, by address and method."""
    found = [
        Route(method, one.path, one.dependant)
        for one in _every(app.routes)
        if hasattr(one, "dependant")
        for method in sorted(one.methods or ())
    ]
    assert len(found) > 5
    return sorted(found, key=lambda one: (one.path, one.method))


def mounts_of(app: FastAPI) -> set[str]:
    """Where whole folders are served from."""
    return {str(one.path) for one in _every(app.routes) if not hasattr(one, "dependant")}


def _every(routes: Iterable[Any]) -> Iterator[Any]:
    for one in routes:
        if hasattr(one, "effective_route_contexts"):
            yield from one.effective_route_contexts()
        else:
            yield one


def _calls(dependant: Dependant) -> Iterator[Any]:
    for below in dependant.dependencies:
        yield below.call
        yield from _calls(below)
