"""A channel that writes messages into a folder, for dry runs and the demo."""

import hashlib
import re
from pathlib import Path

from notify.channel import DeliveryError, OutgoingMessage, Receipt


class FileChannel:
    """Writes each message's bytes to a file of its own.

    ``ending`` is ``.eml`` for mails, ``.txt`` for text messages. The same message written again
    lands in the same file.
    """

    def __init__(self, folder: Path, ending: str = ".eml") -> None:
        self._folder = folder
        self._ending = ending

    def send(self, message: OutgoingMessage) -> Receipt:
        """Write one message; the receipt holds the file's name."""
        name = _file_name(message.message_id) + self._ending
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            part = self._folder / f"{name}.part"
            part.write_bytes(message.body)
            part.replace(self._folder / name)
        except OSError as error:
            raise DeliveryError(
                f"folder {self._folder}: cannot be written ({error.strerror}); check its owner",
                stops_channel=True,
            ) from None
        return Receipt(name)

    def close(self) -> None:
        """Nothing is held open."""


def _file_name(message_id: str) -> str:
    """A file name from a message id, unlike that of any other id."""
    plain = re.sub(r"[^A-Za-z0-9._-]+", "-", message_id.partition("@")[0]).strip("-.")[:80]
    if plain and f"<{plain}" == message_id.partition("@")[0]:
        return plain
    return f"{plain or 'message'}-{hashlib.sha256(message_id.encode()).hexdigest()[:8]}"
