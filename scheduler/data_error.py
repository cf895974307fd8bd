"""A file of data, or a typed-in value, that cannot be used."""

from collections.abc import Sequence


class DataError(Exception):
    """Input data that was refused; ``lines`` say each one where, what was got, what is wanted."""

    def __init__(self, lines: Sequence[str]) -> None:
        super().__init__("\n".join(lines))
        self.lines = tuple(lines)
