"""A copy of a damaged database file, kept before anybody tries to mend it."""

import os
import shutil
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

from storage.errors import DamagedFileError, StorageError
from storage.sqlite_file import make

#: What is copied: the log first, without which the file beside it would be read wrongly.
_ENDINGS = ("-wal", "")


def keep_damaged(path: Path, fault: StorageError) -> DamagedFileError:
    """The error to raise for a damaged file, of which ``NAME.corrupt-TIME`` is kept from now on.

    The file itself stays where it is, so that nothing writes until a backup is put back. TIME is
    when the file was last written: the same damage is copied once, however often it is met, and
    no copy is ever written over.
    """
    told = str(fault).partition("; ")[0]
    advice = "stop the worker and put back a backup: warmspell restore FILE --replace"
    try:
        kept = _kept(path)
    except (OSError, StorageError) as other:
        reason = getattr(other, "strerror", None) or other
        return DamagedFileError(
            f"{told}; nothing was changed. It could not be copied ({reason}): copy it before "
            f"anything else, then {advice}"
        )
    return DamagedFileError(f"{told}; nothing was changed, it is kept as {kept}; {advice}")


def _kept(path: Path) -> Path:
    files = {ending: path.with_name(path.name + ending) for ending in _ENDINGS}
    there = {ending: one for ending, one in files.items() if one.exists() and one.stat().st_size}
    written = max(one.stat().st_mtime for one in there.values())
    stamp = datetime.fromtimestamp(written, UTC)
    name = f"{path.name}.corrupt-{stamp:%Y%m%dT%H%M%S.%fZ}"
    for ending, one in there.items():
        copy = path.with_name(name + ending)
        if not copy.exists():
            make(copy, partial(_copy, one))
    return path.with_name(name)


def _copy(one: Path, beside: Path) -> None:
    # With its owner's rights alone until it is whole: people's addresses are in it.
    os.close(os.open(beside, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    shutil.copyfile(one, beside)
    shutil.copystat(one, beside)
    handle = os.open(beside, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
