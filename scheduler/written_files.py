"""Texts written to a folder, under names made from what people typed."""

import re
from collections.abc import Mapping, Sequence
from pathlib import Path

from scheduler.data_error import DataError


def write_files(folder: Path, files: Mapping[str, str]) -> list[Path]:
    """Write texts into a folder, which is made if need be, and name the files.

    Raises
    ------
    DataError
        The folder cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, text in files.items():
            (folder / name).write_text(text, encoding="utf-8", newline="")
    except OSError as fault:
        raise DataError(
            [f"{folder}: cannot be written: {fault.strerror}; name another folder"]
        ) from None
    return [folder / name for name in files]


def plain_name(text: str) -> str:
    """A file name from free text; ids are free text, file names are not."""
    return re.sub(r"[^A-Za-z0-9._-]", "_", text).lstrip(".") or "_"


def file_names(wanted: Sequence[str], ending: str) -> list[str]:
    """File names from free text, each its own whatever signs it held."""
    names: list[str] = []
    for text in wanted:
        plain = plain_name(text)
        name, again = plain + ending, 2
        while name.lower() in (one.lower() for one in names):
            name, again = f"{plain}-{again}{ending}", again + 1
        names.append(name)
    return names
