"""What is wrong, and where: one line for each fault of the operator's files."""

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Problem:
    """One fault, printed as ``FILE:LINE: key: what was got, what was wanted; what to do``."""

    file: str
    line: int
    key: str
    text: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.key}: {self.text}"


class ConfigError(Exception):
    """The operator's files cannot be used. ``lines`` holds every fault that was found.

    Parameters
    ----------
    lines
        One fault each, in the order of the files.
    """

    def __init__(self, lines: list[str]) -> None:
        super().__init__("\n".join(lines))
        self.lines = lines


@dataclass
class Findings:
    """Faults and warnings gathered while reading, so that all are told at once."""

    errors: list[Problem] = field(default_factory=list)
    warnings: list[Problem] = field(default_factory=list)

    def error(self, file: str, line: int, key: str, text: str) -> None:
        """Note a fault; the same one is kept once."""
        problem = Problem(file, line, key, text)
        if problem not in self.errors:
            self.errors.append(problem)

    def warn(self, file: str, line: int, key: str, text: str) -> None:
        """Note something that is not wrong but deserves a look."""
        problem = Problem(file, line, key, text)
        if problem not in self.warnings:
            self.warnings.append(problem)

    def error_lines(self) -> list[str]:
        """The faults, file by file and from top to bottom."""
        return _in_order(self.errors)

    def warning_lines(self) -> list[str]:
        """The warnings, file by file and from top to bottom."""
        return _in_order(self.warnings)

    def raise_if_any(self) -> None:
        """Raise `ConfigError` with every fault found so far, if there is one."""
        if self.errors:
            raise ConfigError(self.error_lines())


def _in_order(problems: list[Problem]) -> list[str]:
    files = {one.file: place for place, one in reversed(list(enumerate(problems)))}
    ordered = sorted(problems, key=lambda one: (files[one.file], one.line))
    return [str(one) for one in ordered]
