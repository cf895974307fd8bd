"""Names of the parts of fields: as the planner knows them, and as people read them."""

import re

#: A space that nobody types stands before the mark, so that no id of a field is taken for one.
_MARK = re.compile("(.*)\u00a0part ([1-9])/([1-9])", re.DOTALL)


def job_id(field_id: str, part: int | None, parts: int | None) -> str:
    """The name of a part as the planner knows it; a whole field's is its own."""
    return field_id if part is None else f"{field_id}\u00a0part {part}/{parts}"


def field_of(name: str) -> str:
    """The field that a job, whole or part, belongs to."""
    found = _MARK.fullmatch(name)
    return found[1] if found else name


def part_of(name: str) -> tuple[int, int] | None:
    """Which part a job is, and of how many; None for a whole field."""
    found = _MARK.fullmatch(name)
    return (int(found[2]), int(found[3])) if found else None


def named_part(field_name: str, part: int, parts: int) -> str:
    """The name of a part as people read it."""
    return f"{field_name}, part {part} of {parts}"
