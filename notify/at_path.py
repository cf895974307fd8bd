"""A value found in what a gateway sends, by the path that the settings name."""

from typing import Any


def at_path(told: Any, path: str) -> str | int | None:
    """The text or number at a dotted path such as ``messages.0.id``; None where there is none."""
    value = told
    try:
        for step in path.split("."):
            value = value[int(step)] if isinstance(value, list) else value[step]
    except (ValueError, KeyError, IndexError, TypeError):
        return None
    return value if isinstance(value, str | int) and not isinstance(value, bool) else None
