"""Values as they may be shown: no secret, phone or mail address in full."""

import re
from datetime import date, time

from config.key_path import Path

#: Longest text that is repeated back in an error [characters].
SHOWN_LENGTH = 40
PRIVATE_TABLES = ("headers", "body")
PRIVATE_WORDS = ("password", "secret", "token", "api_key")
MAIL_KEYS = ("email", "sender", "reply_to")


def shown(value: object, path: Path = ()) -> str:
    """``value`` as it may stand in an error about the key at ``path``.

    Parameters
    ----------
    value
        Anything read from a TOML, JSON or CSV file.
    path
        The keys that lead to it; they decide what is masked.
    """
    if value is not None and _is_private(path):
        return "(not shown)"
    key = path[-1] if path else ""
    if key == "phone" and isinstance(value, (str, int, float)):
        return masked_phone(str(value))
    if isinstance(value, str) and key in MAIL_KEYS:
        return masked_mail(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, (list, tuple)):
        return f"a list of {len(value)}"
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, (date, time)):
        return value.isoformat()
    return "nothing" if value is None else str(value)


def _is_private(path: Path) -> bool:
    keys = [part.lower() for part in path if isinstance(part, str)]
    return any(key in PRIVATE_TABLES for key in keys) or any(
        word in key for key in keys for word in PRIVATE_WORDS
    )


def quoted(text: str) -> str:
    """``text`` in quotes, on one line, cut to a readable length, addresses inside it masked."""
    visible = "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in text)
    visible = re.sub(r"(//[^/@:\s]*):[^@\s]*@", r"\1:***@", visible)
    visible = re.sub(r"(?i)([?&]\w*password=)[^&\s]*", r"\1***", visible)
    visible = re.sub(r"\b([\w.+-])[\w.+-]*@[\w.-]+", r"\1***@***", visible)
    if len(visible) > SHOWN_LENGTH:
        visible = visible[: SHOWN_LENGTH - 3] + "..."
    return f'"{visible}"'


def masked_mail(text: str) -> str:
    """The first sign of an address, the rest hidden."""
    return f'"{text.strip()[:1]}***"'


def masked_phone(text: str) -> str:
    """The last two digits of a phone number, the rest hidden."""
    digits = re.sub(r"\D", "", text)
    return f'"***{digits[-2:]}"' if len(digits) > 4 else '"***"'
