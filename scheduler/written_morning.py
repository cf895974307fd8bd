"""A morning written to a folder: every digest as text, mail and text message, the data beside."""

import re
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.data_error import DataError
from scheduler.outputs import report_csv, report_json

if TYPE_CHECKING:
    from notify.digest import Digest
    from scheduler.morning import MorningRun


def write_morning(folder: Path, run: "MorningRun") -> list[Path]:
    """Write a morning below ``folder``, which is made if need be, and name the files.

    Raises
    ------
    DataError
        The folder cannot be written.
    """
    files = {
        "morning.json": report_json(run.report) + "\n",
        "morning.csv": report_csv(run.report),
    }
    for digest in run.digests:
        files |= _digest_files(digest)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, text in files.items():
            (folder / name).write_text(text, encoding="utf-8", newline="")
    except OSError as fault:
        raise DataError(
            [f"{folder}: cannot be written: {fault.strerror}; name another folder"]
        ) from None
    return [folder / name for name in files]


def _digest_files(digest: "Digest") -> dict[str, str]:
    # Ids are free text, file names are not.
    person = re.sub(r"[^A-Za-z0-9._-]", "_", digest.person.id).lstrip(".") or "_"
    files = {
        f"{person}.txt": f"Subject: {digest.subject}\n\n{digest.text.rstrip()}\n",
        f"{person}.html": digest.html,
    }
    if digest.sms is not None:
        files[f"{person}.sms.txt"] = digest.sms.rstrip() + "\n"
    return files
