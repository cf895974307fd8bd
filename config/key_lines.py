"""The line each key of a TOML text stands on, for error messages and nothing else.

The standard reader gives values without places. This one gives places without values: it
follows the grammar just far enough to know which key it is in, and trusts the standard reader
to refuse what is not TOML.
"""

import contextlib
import re
import tomllib
from bisect import bisect_left
from dataclasses import dataclass, field

from config.key_path import Path

_BLANK = re.compile(r"[ \t]*")
_BLANK_LINES = re.compile(r"(?:[ \t\n]|#[^\n]*)*")
_KEY_PART = re.compile(r"""[A-Za-z0-9_-]+|"(?:\\.|[^"\\\n])*"|'[^'\n]*'""")
_STRING = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}' r"|'''.*?'{3,5}" r'|"(?:\\.|[^"\\\n])*"' r"|'[^'\n]*'",
    re.DOTALL,
)
_BARE_VALUE = re.compile(r"[^,\]}#\n]+")


@dataclass
class KeyLines:
    """Lines of the keys of one TOML text.

    ``lines`` maps a path of keys and list positions to a line number from 1; ``repeats`` holds
    (path, first line, second line) of every key that stands twice.
    """

    lines: dict[Path, int] = field(default_factory=dict)
    repeats: list[tuple[Path, int, int]] = field(default_factory=list)

    def line(self, path: Path) -> int:
        """Line of ``path``, or of the nearest thing around it that is in the text."""
        while path and path not in self.lines:
            path = path[:-1]
        return self.lines.get(path, 1)


def key_lines(text: str) -> KeyLines:
    """Find the line of every key in ``text``.

    A text that is not TOML gives the keys up to where it stops being readable.
    """
    scan = _Scan(text.replace("\r\n", "\n"))
    with contextlib.suppress(_NotReadableError, RecursionError):
        scan.document()
    return scan.found


class _NotReadableError(Exception):
    """The text stopped following the grammar."""


class _Scan:
    def __init__(self, text: str) -> None:
        self.text = text
        self.place = 0
        self.found = KeyLines()
        self.line_ends = [place for place, sign in enumerate(text) if sign == "\n"]
        self.list_lengths: dict[Path, int] = {}
        self.settled: set[Path] = set()

    def document(self) -> None:
        table: Path = ()
        while self.skip(_BLANK_LINES):
            if self.text[self.place] == "[":
                table = self.header()
            else:
                self.pair(table)

    def header(self) -> Path:
        is_list = self.text.startswith("[[", self.place)
        line = self.line_here()
        self.place += 2 if is_list else 1
        *parents, name = self.key()
        self.expect("]]" if is_list else "]")
        path: Path = ()
        for part in parents:
            path = self.last_of((*path, part))
            self.found.lines.setdefault(path, line)
        path = (*path, name)
        if is_list:
            return self.next_of(path, line)
        self.settle(path, line)
        return path

    def pair(self, table: Path) -> None:
        line = self.line_here()
        *parents, name = self.key()
        path = table
        for part in parents:
            path = (*path, part)
            self.found.lines.setdefault(path, line)
        self.expect("=")
        path = (*path, name)
        self.settle(path, line)
        self.value(path)

    def value(self, path: Path) -> None:
        if not self.skip(_BLANK):
            raise _NotReadableError
        opening = self.text[self.place]
        if opening == "[":
            self.array(path)
        elif opening == "{":
            self.inline_table(path)
        else:
            self.take(_STRING if opening in "\"'" else _BARE_VALUE)

    def array(self, path: Path) -> None:
        self.place += 1
        position = 0
        while not self.closed_by("]"):
            self.found.lines[(*path, position)] = self.line_here()
            self.value((*path, position))
            position += 1
            self.comma()

    def inline_table(self, path: Path) -> None:
        self.place += 1
        while not self.closed_by("}"):
            self.pair(path)
            self.comma()

    def closed_by(self, sign: str) -> bool:
        if not self.skip(_BLANK_LINES):
            raise _NotReadableError
        if self.text[self.place] != sign:
            return False
        self.place += 1
        return True

    def comma(self) -> None:
        if self.skip(_BLANK_LINES) and self.text[self.place] == ",":
            self.place += 1

    def key(self) -> list[str]:
        parts = [self.key_part()]
        while self.skip(_BLANK) and self.text[self.place] == ".":
            self.place += 1
            parts.append(self.key_part())
        return parts

    def key_part(self) -> str:
        self.skip(_BLANK)
        written = self.take(_KEY_PART)
        if written[0] not in "\"'":
            return written
        try:
            return str(tomllib.loads(f"key = {written}")["key"])
        except tomllib.TOMLDecodeError as error:
            raise _NotReadableError from error

    def settle(self, path: Path, line: int) -> None:
        if path in self.settled or path in self.list_lengths:
            self.found.repeats.append((path, self.found.lines[path], line))
            return
        self.settled.add(path)
        self.found.lines[path] = line

    def next_of(self, path: Path, line: int) -> Path:
        if path in self.settled:
            self.found.repeats.append((path, self.found.lines[path], line))
        length = self.list_lengths.get(path, 0)
        self.list_lengths[path] = length + 1
        self.found.lines.setdefault(path, line)
        self.found.lines[(*path, length)] = line
        return (*path, length)

    def last_of(self, path: Path) -> Path:
        return (*path, self.list_lengths[path] - 1) if path in self.list_lengths else path

    def line_here(self) -> int:
        return bisect_left(self.line_ends, self.place) + 1

    def skip(self, blank: re.Pattern[str]) -> bool:
        """Go past blanks; False at the end of the text."""
        found = blank.match(self.text, self.place)
        self.place = found.end() if found else self.place
        return self.place < len(self.text)

    def take(self, wanted: re.Pattern[str]) -> str:
        found = wanted.match(self.text, self.place)
        if not found:
            raise _NotReadableError
        self.place = found.end()
        return found.group()

    def expect(self, signs: str) -> None:
        self.skip(_BLANK)
        if not self.text.startswith(signs, self.place):
            raise _NotReadableError
        self.place += len(signs)
