"""A titled piece of an explanation: lines, then a table."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Section:
    """Lines to read and, where there are rows, a table under its headers."""

    title: str
    lines: tuple[str, ...]
    headers: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()


def fact(name: str, value: str) -> str:
    """One figure on its line."""
    return f"{name + ':':<28}{value}"
