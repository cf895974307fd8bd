"""A morning written to a folder: every digest as text, mail and text message, the data beside."""

from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.outputs import report_csv, report_json
from scheduler.route_outputs import plan_json
from scheduler.written_files import plain_name, write_files

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
    if run.rigs and run.rigs.plan:
        # Apart from the morning, which comes out of its inputs again byte for byte.
        files["routes.json"] = plan_json(run.rigs.plan) + "\n"
    for digest in run.digests:
        files |= _digest_files(digest)
    return write_files(folder, files)


def _digest_files(digest: "Digest") -> dict[str, str]:
    person = plain_name(digest.person.id)
    files = {
        f"{person}.txt": f"Subject: {digest.subject}\n\n{digest.text.rstrip()}\n",
        f"{person}.html": digest.html,
    }
    if digest.sms is not None:
        files[f"{person}.sms.txt"] = digest.sms.rstrip() + "\n"
    return files
