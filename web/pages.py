"""Lays pages out. Templates hold no logic of their own; everything in them is escaped."""

from functools import cache
from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, StrictUndefined

from dispatch.words import day
from web.viewer import Deed, Viewer

#: Shown on every page; the label's own numbers are never ours to give.
CAUTIONS = (
    "The label is the law. warmspell advises; a licensed applicator decides, in the wind where "
    "they stand.",
    "Mind drift, neighbours, bees and water; keep to re-entry and preharvest intervals.",
)

#: Ways through the board: address, word, and what a role needs for it.
WAYS: tuple[tuple[str, str, Deed], ...] = (
    ("/", "Order", "look"),
    ("/map", "Map", "look"),
    ("/rigs", "Rigs", "look"),
    ("/after", "After", "look"),
    ("/scout", "Scout", "scout"),
    ("/sky", "Sky", "look"),
    ("/sent", "Sent", "people"),
)


@cache
def templates() -> Environment:
    """The templates of the board."""
    environment = Environment(
        loader=PackageLoader("web", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["day"] = day
    return environment


def page(request: Request, template: str, status: int = 200, **told: Any) -> HTMLResponse:
    """A whole page, with what every page needs."""
    viewer = getattr(request.state, "viewer", None)
    text = (
        templates()
        .get_template(template)
        .render(
            farm=request.app.state.desk.farm,
            viewer=viewer,
            ways=_ways(viewer),
            here=request.url.path,
            cautions=CAUTIONS,
            now=request.app.state.desk.clock(),
            **told,
        )
    )
    return HTMLResponse(text, status_code=status)


def _ways(viewer: Viewer | None) -> list[tuple[str, str]]:
    if viewer is None:
        return []
    return [(path, word) for path, word, deed in WAYS if viewer.may(deed)]
