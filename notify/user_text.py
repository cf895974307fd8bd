"""Names and notes that people typed, made safe to print in one line."""

import unicodedata

_BRACES = str.maketrans({"{": "(", "}": ")"})
#: Control, format (bidi overrides too), surrogate, private and unassigned characters, and the
#: line and paragraph separators: none of them belongs in a name, all of them can break a header.
_UNPRINTABLE = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})


def plain_line(text: str) -> str:
    """One printable line: control characters become spaces, runs of spaces one.

    Braces become round brackets, so that a brace in a finished digest always means a template
    that was not filled in.
    """
    # By kinds of letters, not letter by letter: big farms have many long texts.
    if not text.isprintable():
        for letter in set(text):
            if unicodedata.category(letter) in _UNPRINTABLE:
                text = text.replace(letter, " ")
    return " ".join(text.translate(_BRACES).split())


def with_stop(sentence: str) -> str:
    """The sentence on one line, ending in a full stop."""
    line = plain_line(sentence)
    return line if not line or line[-1] in ".!?:" else line + "."
