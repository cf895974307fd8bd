"""Constants of the pure rooms with what their ``#:`` lines say of them, read without importing."""

import ast
import re
import tokenize
from dataclasses import dataclass
from io import StringIO

#: Longest value written out in the page; a longer one is pointed to.
VALUE_LETTERS = 72

#: Marks, and the words that tell each in a comment.
MARKS = {
    "printed": r"\bS\d+[a-z]?\b|\bICAO\b|\bASHRAE\b|\b(1[89]|20)\d\d\b",
    "measured": (
        r"\bsame (data|fit|forecasts)\b|\brecorded answers\b|\bfitted on\b|\bClemson\b|"
        r"freeze_odds\.md"
    ),
    "simulated": r"\bsimulation\b",
    "common practice": r"\bcommon practice\b",
    "from memory": r"\bfrom memory\b|\bassumption\b",
    "judgement": r"\bjudgement\b",
    "definition": r"\bdefinition\b|\bstandard atmosphere\b",
}
#: The mark of a constant whose comment tells none.
PLAIN_MARK = "not marked"

_UNIT = re.compile(r"\s*\[([^\]]+)\]")
# A full stop after which a new sentence starts; not the one of "et al." or "Univ.".
_SENTENCE = re.compile(r"(?<!\bal\.)(?<!Univ\.)(?<=\.)\s+(?=[A-Z0-9])")
_CODE = re.compile(r"\bS\d+[a-z]?\b")
_SUFFIXES = {
    "_f": "F",
    "_mph": "mph",
    "_in": "inch",
    "_h": "h",
    "_days": "days",
    "_pct": "%",
    "_frac": "share",
    "_hpa": "hPa",
    "_deg": "deg",
    "_points": "points",
}


@dataclass(frozen=True)
class Constant:
    """One constant or default: its value as written, and its comment."""

    name: str
    value: str
    comment: str
    always: str = ""

    @property
    def unit(self) -> str:
        """The unit in the comment's brackets, else the one the name ends in."""
        told = _UNIT.search(self.comment)
        if told:
            return told[1]
        name = self.name.lower()
        if name.startswith("nacb_") or name.endswith("_nacb"):
            return "nodes"
        return next((unit for end, unit in _SUFFIXES.items() if name.endswith(end)), "")

    @property
    def what(self) -> str:
        """The first sentence of the comment."""
        return self._sentences()[0]

    @property
    def why(self) -> str:
        """What the comment says after it."""
        return " ".join(self._sentences()[1:])

    @property
    def codes(self) -> tuple[str, ...]:
        """Codes of the sources named, each once."""
        return tuple(dict.fromkeys(_CODE.findall(self.comment)))

    @property
    def mark(self) -> str:
        """What the value rests on."""
        found = [
            mark for mark, words in MARKS.items() if re.search(words, self.comment, re.IGNORECASE)
        ]
        if "measured" in found and "printed" in found and not self.codes:
            # The year is that of the data, not of a source.
            found.remove("printed")
        return ", ".join(found) or self.always or PLAIN_MARK

    def _sentences(self) -> list[str]:
        return _SENTENCE.split(_UNIT.sub("", self.comment, count=1)) or [""]


@dataclass(frozen=True)
class Comments:
    """A file's ``#:`` comments by the line they stand above, and the names its values may use."""

    place: str
    of_line: dict[int, str]
    named: dict[str, ast.expr]


@dataclass(frozen=True)
class Group:
    """Constants that stand together: a file's own, or a class of settings."""

    place: str
    title: str
    constants: tuple[Constant, ...]


def values_in(source: str) -> dict[str, ast.expr]:
    """The values a file gives to its public names, for defaults that are named elsewhere."""
    told = {}
    for node in ast.parse(source).body:
        told |= {name: value for name, value in _given(node) if not name.startswith("_")}
    return told


def groups_in(source: str, place: str, named: dict[str, ast.expr]) -> list[Group]:
    """The groups of a file: its classes of defaults first, then its constants.

    Parameters
    ----------
    source
        Text of the file.
    place
        Its name in the page, such as ``agronomy/nights.py``.
    named
        Values of names that a default may stand for, from `values_in`.
    """
    tree = ast.parse(source, filename=place)
    told = Comments(place, comments_of(source), named)
    found = []
    for node in tree.body:
        if isinstance(node, ast.ClassDef):
            doc = ast.get_docstring(node) or node.name
            always = "judgement" if "judgement unless" in doc else ""
            constants = _constants(node.body, told, always, defaults_too=True)
            found.append(Group(f"{place} {node.name}", _first_line(doc), constants))
    doc = ast.get_docstring(tree) or place
    found.append(Group(place, _first_line(doc), _constants(tree.body, told)))
    return [group for group in found if group.constants]


def comments_of(source: str) -> dict[int, str]:
    """The ``#:`` comments, by the number of the line that follows each."""
    lines = {
        token.start[0]: token.string[2:].strip()
        for token in tokenize.generate_tokens(StringIO(source).readline)
        if token.type == tokenize.COMMENT and token.string.startswith("#:")
    }
    blocks: dict[int, str] = {}
    for number, text in sorted(lines.items()):
        blocks[number + 1] = " ".join(filter(None, (blocks.pop(number, ""), text)))
    return blocks


def _constants(
    body: list[ast.stmt], told: Comments, always: str = "", *, defaults_too: bool = False
) -> tuple[Constant, ...]:
    found = []
    for node in body:
        comment = told.of_line.get(node.lineno, "")
        for name, given in _given(node):
            value = _default(given)
            said = comment or (defaults_too and _is_setting(given))
            if value is not None and said and not name.startswith("_"):
                found.append(Constant(name, _shown(value, told), comment, always))
    return tuple(found)


def _given(node: ast.stmt) -> list[tuple[str, ast.expr]]:
    """The names a statement gives values to, several for ``A, B = 1, 2``."""
    if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name) and node.value:
        return [(node.target.id, node.value)]
    if not isinstance(node, ast.Assign):
        return []
    target, value = node.targets[0], node.value
    if isinstance(target, ast.Tuple) and isinstance(value, ast.Tuple):
        pairs = zip(target.elts, value.elts, strict=True)
        return [(name.id, one) for name, one in pairs if isinstance(name, ast.Name)]
    return [(target.id, value)] if isinstance(target, ast.Name) else []


def _is_setting(value: ast.expr) -> bool:
    """Whether a value of a class is that of a bounded setting."""
    return (
        isinstance(value, ast.Call)
        and isinstance(value.func, ast.Name)
        and value.func.id in ("Field", "Bounded")
    )


def _default(value: ast.expr) -> ast.expr | None:
    """The value itself, or the default of a bounded setting; None for one that must be given."""
    if isinstance(value, ast.Call) and _is_setting(value):
        given = [word.value for word in value.keywords if word.arg == "default"]
        return next(iter([*given, *value.args[:1]]), None)
    return value


def _shown(value: ast.expr, told_of: Comments) -> str:
    if isinstance(value, ast.Name):
        value = told_of.named.get(value.id, value)
    plain = value
    if isinstance(plain, ast.Call) and len(plain.args) == 1 and not plain.keywords:
        plain = plain.args[0]
    try:
        told = ast.literal_eval(plain)
    except ValueError:
        # A product of numbers says more as it is written than multiplied out.
        told = None if any(isinstance(part, ast.Call) for part in ast.walk(value)) else value
    text = ast.unparse(told) if isinstance(told, ast.expr) else _text(told)
    return text if text and len(text) <= VALUE_LETTERS else f"see {told_of.place}"


def _text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, set | frozenset):
        # In an order of its own, which no set has.
        value = tuple(sorted(map(str, value)))
    if isinstance(value, tuple) and all(isinstance(one, int | float | str) for one in value):
        return ", ".join(map(_text, value))
    if isinstance(value, float):
        return f"{value:g}"
    return str(value)


def _first_line(doc: str) -> str:
    return doc.strip().splitlines()[0]
