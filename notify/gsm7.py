"""The alphabet of text messages: what fits in it, and how many segments a text takes."""

import math
import re
import unicodedata

import gsm0338
from anyascii import anyascii

from notify.user_text import plain_line

#: Septets in a message sent alone, and in each part of a longer one. 3GPP TS 23.038, 23.040.
ALONE_SEPTETS = 160
PART_SEPTETS = 153

_CODEC = gsm0338.Codec()
#: Characters of the extension table cost two septets and could be split between two parts:
#: cheaper look-alikes are used instead.
_CHEAPER = str.maketrans({"[": "(", "]": ")", "\\": "/", "|": "/", "~": "-", "^": "", "`": "'"})


def gsm7(text: str) -> str:
    """The text in plain ASCII letters that each cost one septet.

    Accents are dropped, curly quotes straightened, a degree sign before F left out, and what has
    no likeness is stripped.
    """
    line = "".join(
        letter
        for letter in plain_line(text)
        if unicodedata.category(letter) not in ("So", "Sk") or letter == "\N{DEGREE SIGN}"
    )
    line = re.sub("\N{DEGREE SIGN}\\s*(?=[FC]\\b)", "", line)
    ascii_line = anyascii(line.replace("\N{DEGREE SIGN}", " deg "))
    return plain_line(ascii_line).translate(_CHEAPER).strip()


def septets(text: str) -> int:
    """What a text costs in septets.

    Raises
    ------
    UnicodeEncodeError
        If a character is not in the alphabet.
    """
    return len(_CODEC.encode(text)[0])


def segments(text: str) -> int:
    """How many message parts a text takes.

    A pair of the extension table is never split between two parts, so each part may lose one
    septet to it.
    """
    total = septets(text)
    if total <= ALONE_SEPTETS:
        return 1
    used, parts = 0, 1
    for letter in text:
        cost = septets(letter)
        if used + cost > PART_SEPTETS:
            used, parts = 0, parts + 1
        used += cost
    return max(parts, math.ceil(total / PART_SEPTETS))


def budget_septets(max_segments: int) -> int:
    """The septets that fit into a number of segments."""
    return ALONE_SEPTETS if max_segments == 1 else PART_SEPTETS * max_segments
