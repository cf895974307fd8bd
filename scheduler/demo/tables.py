"""The demo's tables: text a person can read across."""


def rows(table: str) -> list[dict[str, str]]:
    """The lines of a table with ``|`` between its columns, by the names in its first line."""
    head, *lines = ([cell.strip() for cell in line.split("|")] for line in table.splitlines())
    return [dict(zip(head, line, strict=True)) for line in lines]
