"""Paths of keys as people write them."""

import re

Path = tuple[str | int, ...]


def written(path: Path) -> str:
    """A path such as ``people[2].grower_ids[0]`` or ``field_rules."7 A".gates``."""
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f"[{part}]"
        else:
            name = part if re.fullmatch(r"[A-Za-z0-9_-]+", part) else f'"{part}"'
            text += f".{name}" if text else name
    return text


def value_at(raw: object, path: Path) -> object:
    """The value ``path`` leads to in nested tables and lists, or None where it leads nowhere."""
    for part in path:
        if isinstance(raw, dict):
            raw = raw.get(part)
        elif isinstance(raw, list) and isinstance(part, int) and part < len(raw):
            raw = raw[part]
        else:
            return None
    return raw
