"""Lines of the log: times in UTC, one line each, and no address, number or secret in them."""

import json
import logging
import re
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from typing import TYPE_CHECKING, TextIO

from farm.masked_address import masked_address
from notify.user_text import plain_line

if TYPE_CHECKING:
    from notify.settings import Secrets

_MAIL = re.compile(r"[A-Za-z0-9._%+'-]{1,64}@[A-Za-z0-9.-]{1,255}\.[A-Za-z]{2,24}")
#: Numbers in the international form; others are shown by nothing we write.
_PHONE = re.compile(r"\+\d[\d ().-]{6,18}\d")
#: Shortest secret that is blotted out [letters]: a shorter one would blot out ordinary words.
_SHORTEST = 4


class OneLine(logging.Formatter):
    """A line to read. A traceback follows on lines of its own, masked as well."""

    def __init__(self, secrets: Iterable[str] = ()) -> None:
        super().__init__("%(asctime)s %(levelname)s %(message)s")
        self._secrets = tuple(one for one in secrets if len(one) >= _SHORTEST)

    def format(self, record: logging.LogRecord) -> str:
        """The record as text."""
        head = f"{_time(record)} {record.levelname} {plain_line(self._said(record))}"
        trace = self._traceback(record)
        return f"{head}\n{trace}" if trace else head

    def _said(self, record: logging.LogRecord) -> str:
        return masked(record.getMessage(), self._secrets)

    def _traceback(self, record: logging.LogRecord) -> str:
        if not record.exc_info:
            return ""
        return masked(self.formatException(record.exc_info), self._secrets)


class OneObject(OneLine):
    """A line as a JSON object, for programs."""

    def format(self, record: logging.LogRecord) -> str:
        """The record as JSON."""
        told = {
            "time": _time(record),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": plain_line(self._said(record)),
        }
        trace = self._traceback(record)
        return json.dumps(told | {"traceback": trace} if trace else told, ensure_ascii=False)


def masked(text: str, secrets: Iterable[str] = ()) -> str:
    """The text with secrets blotted out, and mail addresses and telephone numbers shortened."""
    for secret in secrets:
        text = text.replace(secret, "***")
    text = _MAIL.sub(lambda found: masked_address(found.group()), text)
    return _PHONE.sub(lambda found: masked_address(found.group()), text)


def log_to(stream: TextIO, style: str = "text", secrets: Iterable[str] = ()) -> None:
    """Send our own log to a stream, as text or JSON."""
    handler = logging.StreamHandler(stream)
    handler.setFormatter(OneObject(secrets) if style == "json" else OneLine(secrets))
    logger = logging.getLogger("warmspell")
    logger.handlers[:] = [handler]
    logger.setLevel(logging.INFO)


def secret_texts(secrets: "Secrets", environ: Mapping[str, str]) -> tuple[str, ...]:
    """Everything secret this process knows, longest first so that none hides a part of another."""
    held = (getattr(secrets, name) for name in type(secrets).model_fields)
    texts = {one.get_secret_value() for one in held if one is not None}
    texts |= {word for text in texts for word in text.split()}
    texts.add(environ.get("PGPASSWORD", ""))
    return tuple(sorted(texts, key=len, reverse=True))


def _time(record: logging.LogRecord) -> str:
    return datetime.fromtimestamp(record.created, UTC).isoformat(timespec="seconds")
