"""How far the fetching of forecasts is, for the person at the terminal."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, TextIO

import click


@contextmanager
def fetch_bar(stream: TextIO | None = None) -> Iterator[Callable[[int, int], None] | None]:
    """A bar on stderr, moved by calls with (steps done, steps in all).

    Nothing is drawn, and None is given, where ``stream`` is no terminal: a log of a morning holds
    no bars. Whatever ends the fetching, the line of the bar is ended too.
    """
    stream = stream or sys.stderr
    if not stream.isatty():
        yield None
        return
    drawn: list[Any] = []

    def move(done: int, steps: int) -> None:
        if not drawn:
            bar = click.progressbar(
                length=steps, label="forecasts", show_pos=True, show_percent=False, file=stream
            )
            drawn.append(bar.__enter__())
        drawn[0].update(done - drawn[0].pos)

    try:
        yield move
    finally:
        if drawn:
            drawn[0].__exit__(None, None, None)
