"""The two voices of the command line: data on stdout, talk and progress on stderr.

A reader who went away, as ``head`` does, is no fault: what is left to say is dropped and the
work goes on.
"""

import os
import sys
from typing import TextIO


def say(text: str = "") -> None:
    """Write data."""
    _write(sys.stdout, text)


def talk(text: str) -> None:
    """Write to the person at the keyboard."""
    _write(sys.stderr, text)


def _write(stream: TextIO, text: str) -> None:
    try:
        stream.write(text if text.endswith("\n") else text + "\n")
        stream.flush()
    except (BrokenPipeError, ValueError):
        hush(stream)


def hush(stream: TextIO) -> None:
    """Point a stream whose reader is gone at nothing, so that its last flush cannot fail."""
    try:
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, stream.fileno())
        os.close(nothing)
    except (OSError, ValueError):
        return
