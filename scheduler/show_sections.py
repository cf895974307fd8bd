"""An explanation on stdout."""

import sys
from collections.abc import Sequence

from scheduler.section import Section
from scheduler.speaking import say
from scheduler.tables import show_table


def show_sections(sections: Sequence[Section]) -> None:
    """Write sections one below the other; titles stand out on a terminal."""
    for place, section in enumerate(sections):
        if place:
            say()
        if section.title:
            _title(section.title)
        for line in section.lines:
            say(f"  {line}".rstrip() if section.title else line)
        if section.rows:
            show_table(section.headers, section.rows)


def _title(text: str) -> None:
    if not sys.stdout.isatty():
        say(text)
        say("-" * len(text))
        return
    from rich.console import Console
    from rich.text import Text

    Console(file=sys.stdout, highlight=False).print(Text(text, style="bold"))
