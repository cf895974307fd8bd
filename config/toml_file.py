"""The operator's TOML file, read whole, with the line of every key."""

import re
import tomllib
from pathlib import Path

from config.key_lines import KeyLines, key_lines
from config.key_path import written
from config.problem import ConfigError, Problem

#: Largest configuration read [bytes]; the files people write are a hundred times smaller.
SIZE_MAX_BYTES = 1_000_000

#: What to do about the commonest ways a text is not TOML, by the standard reader's words.
_ADVICE = (
    ("Expected '='", "write key = value, with an equals sign, not a colon"),
    ("after a statement", 'put text and times in quotes, such as send_at = "06:00"'),
    ("Invalid value", 'put text in straight quotes, such as name = "North Draw"'),
    ("Unescaped", "put a path with backslashes in single quotes"),
    ("hex value", "put a path with backslashes in single quotes"),
    ("Unterminated", "close the quotes"),
    ("Unclosed", "close the bracket"),
)


def read_toml(path: Path) -> tuple[dict[str, object], KeyLines]:
    """The tables of ``path`` and the lines of their keys.

    Raises
    ------
    ConfigError
        The file cannot be read or is not TOML.
    """
    text = _text(path)
    found = key_lines(text)
    try:
        return tomllib.loads(text), found
    except tomllib.TOMLDecodeError as error:
        raise ConfigError(_syntax_lines(str(path), str(error), text, found)) from error
    except RecursionError as error:
        raise _refused(path, 1, "got brackets nested without end; write it flat") from error


def _text(path: Path) -> str:
    try:
        raw = path.read_bytes()
    except OSError as error:
        reason = (error.strerror or "no reason given").lower()
        advice = "check the name, or make a starter with: warmspell init FOLDER"
        raise _refused(path, 1, f"got no file to read ({reason}), wanted one; {advice}") from error
    if len(raw) > SIZE_MAX_BYTES:
        got = f"got {len(raw):,} bytes, wanted at most {SIZE_MAX_BYTES:,}"
        raise _refused(path, 1, f"{got}; is this the right file?")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        got = f"got the byte 0x{raw[error.start]:02x}, which is not UTF-8"
        raise _refused(path, line, f"{got}; save the file as UTF-8") from error


def _refused(path: Path, line: int, text: str) -> ConfigError:
    return ConfigError([str(Problem(str(path), line, "file", text))])


def _syntax_lines(file: str, message: str, text: str, found: KeyLines) -> list[str]:
    if found.repeats:
        return [
            str(Problem(file, second, written(key), _repeated(first)))
            for key, first, second in found.repeats
        ]
    place = re.search(r" \(at (?:line (\d+), column (\d+)|end of document)\)$", message)
    said = message[: place.start()] if place else message
    last_line = len(text.rstrip().splitlines()) or 1
    line = int(place[1]) if place and place[1] else last_line
    column = f"column {place[2]}" if place and place[2] else "end of the file"
    advice = next((what for words, what in _ADVICE if words in said), "correct the line")
    wrong = f"got text that is not TOML ({said[:1].lower()}{said[1:]}); {advice}"
    return [str(Problem(file, line, column, wrong))]


def _repeated(first: int) -> str:
    return f"got it a second time, wanted once; it also stands on line {first}: delete one"
