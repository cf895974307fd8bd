"""Lays pages out: digests as plain text and HTML mail, sheets for print.

The templates hold no logic of their own.
"""

import textwrap
from collections.abc import Sequence
from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined, select_autoescape

from notify.page import Page
from notify.rig_sheet import Sheet

#: Columns of the plain text; a phone wraps it again, a desk reader need not.
TEXT_COLUMNS = 96


@cache
def _templates() -> Environment:
    environment = Environment(
        loader=PackageLoader("notify", "templates"),
        autoescape=select_autoescape(("html",), default=False),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["hang"] = hang
    return environment


def hang(text: str, first: str = "", rest: str | None = None) -> str:
    """Wrapped text, its first line after ``first``, the others after ``rest``."""
    return textwrap.fill(
        text,
        TEXT_COLUMNS,
        initial_indent=first,
        subsequent_indent=first if rest is None else rest,
        break_on_hyphens=False,
    )


def as_text(page: Page) -> str:
    """The plain text, at most `TEXT_COLUMNS` wide."""
    return _templates().get_template("digest.txt").render(page=page).strip() + "\n"


def as_html(page: Page) -> str:
    """The HTML mail: inline styles, nothing fetched from elsewhere."""
    return _templates().get_template("digest.html").render(page=page).strip() + "\n"


def as_sheets(sheets: Sequence[Sheet], title: str) -> str:
    """An HTML document to print, one page for each sheet, nothing fetched from elsewhere."""
    told = _templates().get_template("rig_sheets.html").render(sheets=sheets, title=title)
    return told.strip() + "\n"
